//! Where the page calls: it lays the packed module into [`PACKED`], calls [`unpack`] and takes the module.
//!
//! An instance has one caller and one thread, and serves once: so plain statics will do, and nothing is given back.

#![allow(unsafe_code, reason = "exports without glue, and statics that an instance of one thread has for itself")]

use crate::{Half, MOST_PACKED, MOST_SYMBOLS, Room};

static mut PACKED: [u8; MOST_PACKED] = [0; MOST_PACKED];
static mut MODULE: [u8; MOST_SYMBOLS] = [0; MOST_SYMBOLS];
static mut ROOM: Room = Room::EMPTY;

/// Where the packed module has to be laid.
#[unsafe(no_mangle)]
pub(crate) extern "C" fn packed() -> *mut u8 {
    (&raw mut PACKED).cast()
}

/// Where the module is when [`unpack`] has given its length.
#[unsafe(no_mangle)]
pub(crate) extern "C" fn module() -> *mut u8 {
    (&raw mut MODULE).cast()
}

/// Unpacks the module of this packed length: its first half (1), its second (2) or all of it. Gives where that ends in the
/// module, or 0 if it is damaged.
#[unsafe(no_mangle)]
pub(crate) extern "C" fn unpack(length: usize, half: u32) -> usize {
    let (packed, module, room) = (&raw const PACKED, &raw mut MODULE, &raw mut ROOM);
    // SAFETY: there is one thread, and nothing else in this module touches the three while this runs
    let (packed, module, room) = unsafe { (&*packed, &mut *module, &mut *room) };
    let packed = packed.get(..length).unwrap_or_default();
    let half = match half {
        1 => Half::First,
        2 => Half::Second,
        _ => Half::Both,
    };
    crate::unpack_into(packed, half, module, room).unwrap_or(0)
}

#[panic_handler]
fn stop(_: &core::panic::PanicInfo<'_>) -> ! {
    core::arch::wasm32::unreachable()
}
