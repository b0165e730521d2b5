//! Prefix trees of symbols: the more frequent a symbol, the shorter the way to it.

/// The longest way down.
pub(crate) const LONGEST: u8 = 15;

/// A tree by the lengths of its ways: symbols in order of length, then of number, from the left (zero) to the right.
#[derive(Debug, Clone)]
pub(crate) struct Tree {
    /// The way to each symbol, from the highest bit on.
    pub paths: [i32; 256],
    /// Both branches of each inner node, breadth first: the number of a node, or what is left of 65535 by a symbol.
    pub nodes: [[u16; 2]; 256],
}

impl Tree {
    /// No tree yet.
    pub(crate) const EMPTY: Self = Self { paths: [0; 256], nodes: [[0; 2]; 256] };

    /// Becomes the tree of these lengths; 0 for a symbol that is not in it.
    pub(crate) fn grow(&mut self, lengths: &[u8; 256]) {
        *self = Self::EMPTY;
        let mut path: u32 = 0;
        let mut inner = 1;
        let mut first = 0;
        for length in 1..=LONGEST {
            let mut leaves = (0..=255_u8).filter(|&symbol| lengths[usize::from(symbol)] == length);
            // every inner node of this depth has two branches: symbols first, then the inner nodes of the next depth
            let next = first + inner;
            let mut below = 0;
            for branch in 2 * first..2 * next {
                let leads_to = if let Some(symbol) = leaves.next() {
                    self.paths[usize::from(symbol)] = (path << (32 - length)).cast_signed();
                    path += 1;
                    !u16::from(symbol)
                } else {
                    below += 1;
                    next + below - 1
                };
                self.nodes[usize::from(branch >> 1) & 255][usize::from(branch & 1)] = leads_to;
            }
            first = next;
            inner = below;
            path <<= 1;
        }
    }

    /// Becomes the tree in which all ways are equally long.
    pub(crate) fn grow_flat(&mut self, depth: u8) {
        let mut lengths = [0; 256];
        for length in &mut lengths[..1 << depth] {
            *length = depth;
        }
        self.grow(&lengths);
    }
}

/// Lengths for symbols of these counts, after D. A. Huffman (1952); halved counts where a way would be too long.
#[cfg(not(target_arch = "wasm32"))]
pub(crate) fn lengths_of(counts: &[u32; 256]) -> [u8; 256] {
    use std::cmp::Reverse;
    use std::collections::BinaryHeap;

    let mut counts: Vec<(u32, usize)> = counts.iter().copied().zip(0..).filter(|&(count, _)| count > 0).collect();
    // a tree has two branches
    for symbol in 0..2 {
        if counts.len() < 2 && counts.iter().all(|&(_, known)| known != symbol) {
            counts.push((1, symbol));
        }
    }
    loop {
        let mut heap: BinaryHeap<_> =
            counts.iter().map(|&(count, symbol)| Reverse((u64::from(count), symbol, vec![symbol]))).collect();
        let mut lengths = [0_u8; 256];
        while let (Some(Reverse((one, first, mut symbols))), Some(Reverse((other, _, more)))) = (heap.pop(), heap.pop())
        {
            symbols.extend(more);
            for &symbol in &symbols {
                lengths[symbol] += 1;
            }
            if symbols.len() == counts.len() {
                break;
            }
            heap.push(Reverse((one + other, first, symbols)));
        }
        if lengths.iter().all(|&length| length <= LONGEST) {
            return lengths;
        }
        for (count, _) in &mut counts {
            *count = *count / 2 + 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn frequent_symbols_are_near_and_every_way_ends_at_its_symbol() {
        let mut counts = [0; 256];
        // powers of two: the way to each is as long as its share says, the two rarest alike
        for (symbol, count) in [(7, 8), (200, 4), (0, 2), (9, 1), (255, 1)] {
            counts[symbol] = count;
        }
        let lengths = lengths_of(&counts);
        assert_eq!([7, 200, 0, 9, 255].map(|symbol| lengths[symbol]), [1, 2, 3, 4, 4]);
        let mut tree = Tree::EMPTY;
        tree.grow(&lengths);
        for symbol in [7, 200, 0, 9, 255_u8] {
            let (mut node, mut path) = (0, tree.paths[usize::from(symbol)]);
            while node < 256 {
                node = tree.nodes[usize::from(node)][usize::from(path < 0)];
                path <<= 1;
            }
            assert_eq!(!node, u16::from(symbol));
        }
    }

    #[test]
    fn no_way_is_too_long_and_every_tree_has_two_branches() {
        // the counts whose tree is deepest
        let mut counts = [0; 256];
        let (mut one, mut other) = (1, 1);
        for count in counts.iter_mut().take(40) {
            *count = one;
            (one, other) = (other, one + other);
        }
        assert!(lengths_of(&counts).iter().all(|&length| length <= LONGEST));
        assert_eq!(lengths_of(&[0; 256]).iter().map(|&length| u32::from(length)).sum::<u32>(), 2);
    }
}
