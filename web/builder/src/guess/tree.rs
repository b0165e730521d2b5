//! Prefix trees of symbols: the more frequent a symbol, the shorter the way to it.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// The longest way down.
const LONGEST: u8 = 15;

/// A tree by the lengths of its ways: symbols in order of length, then of number, from the left (zero) to the right.
#[derive(Debug, Clone)]
pub(crate) struct Tree {
    /// The way to each symbol, from the highest bit on.
    paths: [u32; 256],
    /// Both branches of each inner node, breadth first.
    nodes: Vec<[Leaf; 2]>,
}

/// Where a branch leads.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Leaf {
    /// To an inner node.
    Node(usize),
    /// To a symbol.
    Symbol(u8),
}

impl Default for Tree {
    fn default() -> Self {
        Self { paths: [0; 256], nodes: Vec::new() }
    }
}

impl Tree {
    /// The tree of these lengths; 0 for a symbol that is not in it.
    pub(crate) fn of_lengths(lengths: &[u8; 256]) -> Self {
        let mut tree = Self::default();
        let mut path: u32 = 0;
        let mut inner = 1;
        for length in 1..=LONGEST {
            let mut leaves = (0..=255_u8).filter(|&symbol| lengths[usize::from(symbol)] == length);
            // every inner node of this depth has two branches: symbols first, then the inner nodes of the next depth
            let first = tree.nodes.len();
            let next = first + inner;
            let mut branches = Vec::new();
            let mut below = 0;
            for _ in 0..2 * inner {
                branches.push(leaves.next().map_or_else(
                    || {
                        below += 1;
                        Leaf::Node(next + below - 1)
                    },
                    |symbol| {
                        tree.paths[usize::from(symbol)] = path << (32 - length);
                        path += 1;
                        Leaf::Symbol(symbol)
                    },
                ));
            }
            tree.nodes.extend(branches.chunks_exact(2).map(|pair| [pair[0], pair[1]]));
            inner = below;
            path <<= 1;
        }
        tree
    }

    /// Lengths for symbols of these counts, after D. A. Huffman (1952); halved counts where a way would be too long.
    pub(crate) fn lengths_of(counts: &[u32; 256]) -> [u8; 256] {
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
            while let (Some(Reverse((one, first, mut symbols))), Some(Reverse((other, _, more)))) =
                (heap.pop(), heap.pop())
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

    /// The way to a symbol, from the highest bit on.
    pub(crate) fn path(&self, symbol: u8) -> i32 {
        self.paths[usize::from(symbol)].cast_signed()
    }

    /// Where a branch of a node leads.
    pub(crate) fn next(&self, node: usize, one: bool) -> Leaf {
        self.nodes[node][usize::from(one)]
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
        let lengths = Tree::lengths_of(&counts);
        assert_eq!([7, 200, 0, 9, 255].map(|symbol| lengths[symbol]), [1, 2, 3, 4, 4]);
        let tree = Tree::of_lengths(&lengths);
        for symbol in [7, 200, 0, 9, 255_u8] {
            let (mut node, mut path) = (0, tree.path(symbol));
            let found = loop {
                match tree.next(node, path < 0) {
                    Leaf::Node(next) => node = next,
                    Leaf::Symbol(found) => break found,
                }
                path <<= 1;
            };
            assert_eq!(found, symbol);
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
        assert!(Tree::lengths_of(&counts).iter().all(|&length| length <= LONGEST));
        assert_eq!(Tree::lengths_of(&[0; 256]).iter().map(|&length| u32::from(length)).sum::<u32>(), 2);
    }
}
