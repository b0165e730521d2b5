//! What to mind in antenna work, as README says it too.

/// What comes before all others.
pub const FIRST: &str =
    "Antenna work can kill. Follow your local codes and your licence, and leave to licensed trades what is theirs.";

/// Each with what it is about.
pub const CAUTIONS: [(&str, &str); 5] = [
    (
        "Masts and wires",
        "keep masts, wires and yourself at least one and a half times their length away from any power line. Never work \
         on a mast alone, in wind, or without fall protection.",
    ),
    (
        "Lightning",
        "take antennas down or disconnect them outside before a storm; ground them by the code that applies.",
    ),
    (
        "RF exposure",
        "even small powers near a person, and certainly larger ones, have limits; check the distance your authority \
         asks for.",
    ),
    (
        "Unattended beacons",
        "many licences restrict or forbid transmitting unattended, limit its power and bands, or ask for remote \
         control. Yours decides.",
    ),
    (
        "Batteries",
        "fuse them at the terminal, keep them from short circuit, heat, frost and rain, and charge them only as their \
         maker says and under watch.",
    ),
];
