//! Draws the land around some trying homes, for looking at: `cargo run -p farheard --example land`
//! writes one SVG picture each into the system's temporary folder and says where.

#![allow(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "an example speaks to its caller, and times itself"
)]

use std::time::Instant;

use farheard::geography::{Disc, MapLine, OPPOSITE_KM, Position, land};

const HOMES: [(&str, f64, f64, f64); 12] = [
    ("europe", 50.0, 10.0, OPPOSITE_KM),
    ("new-zealand", -41.0, 174.0, OPPOSITE_KM),
    ("spain", 40.0, -4.0, OPPOSITE_KM),
    ("opposite-of-a-coast", -38.0, 179.0, OPPOSITE_KM),
    ("north-pole", 90.0, 0.0, OPPOSITE_KM),
    ("south-pole", -90.0, 0.0, OPPOSITE_KM),
    ("equator-180", 0.0, 180.0, OPPOSITE_KM),
    ("fiji", -17.0, 179.9, 2000.0),
    ("chukotka", 67.0, 180.0, 4000.0),
    ("europe-1000", 50.0, 10.0, 1000.0),
    ("baltic-500", 55.0, 12.0, 500.0),
    ("atlantic-8000", 30.0, -30.0, 8000.0),
];

fn main() -> std::io::Result<()> {
    for (name, lat_deg, lon_deg, extent_km) in HOMES {
        let home = Position { lat_deg, lon_deg };
        land(home, extent_km); // reads the coast line, once
        let before = Instant::now();
        let drawn = land(home, extent_km);
        let took = before.elapsed();
        let night = Disc::new(home, extent_km)
            .map(|disc| disc.cap(Position { lat_deg: -20.0, lon_deg: 60.0 }, 90.83).fill)
            .unwrap_or_default();
        let picture = format!(
            "<svg xmlns='http://www.w3.org/2000/svg' viewBox='-405 -405 810 810' width='810' height='810'>\
             <rect x='-405' y='-405' width='810' height='810' fill='white'/>\
             <path d='{}' fill='#E6E8DE' fill-rule='evenodd'/>\
             <path d='{}' fill='none' stroke='#A6AC9C' stroke-width='0.75'/>\
             <path d='{}' fill='black' fill-opacity='0.1' fill-rule='evenodd'/>\
             <circle r='400' fill='none' stroke='black' stroke-width='0.9'/><path d='M-7 0H7M0-7V7' stroke='black'/></svg>",
            path(&drawn.fill, "Z", extent_km),
            path(&drawn.coast, "", extent_km),
            path(&night, "Z", extent_km),
        );
        let file = std::env::temp_dir().join(format!("land-{name}.svg"));
        std::fs::write(&file, &picture)?;
        let points: usize = drawn.fill.iter().map(Vec::len).sum();
        println!(
            "{}: {} rings, {points} points in {took:?}, {} bytes",
            file.display(),
            drawn.fill.len(),
            picture.len()
        );
    }
    Ok(())
}

fn path(lines: &[MapLine], end: &str, extent_km: f64) -> String {
    let point = |[east_km, north_km]: &[f64; 2]| {
        format!("{:.1} {:.1}", 400.0 * east_km / extent_km, -400.0 * north_km / extent_km)
    };
    lines.iter().map(|line| ["M", &line.iter().map(point).collect::<Vec<_>>().join("L"), end].concat()).collect()
}
