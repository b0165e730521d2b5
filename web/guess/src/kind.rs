//! Kinds of symbols.

/// What a symbol is; each kind has its own tree, weights and trusts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// An instruction.
    Code,
    /// A local that is read.
    Get,
    /// A local that is written.
    Set,
    /// A function that is called: its first byte.
    Call,
    /// The bytes after the first.
    CallOn,
    /// A block that is left.
    Branch,
    /// What an address is a multiple of.
    Align,
    /// What is added to an address: its first byte.
    Offset,
    /// The bytes after the first.
    OffsetOn,
    /// A whole number: its first byte.
    Number,
    /// The bytes after the first.
    NumberOn,
    /// A number with a fraction.
    Fraction,
    /// All other of a function.
    Rest,
    /// All outside of functions.
    Data,
    /// A length in a tree.
    Length,
}

/// Room for all kinds: a power of two.
pub(crate) const KINDS: usize = (Kind::Length as usize + 1).next_power_of_two();
