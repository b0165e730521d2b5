//! The antennas of the test: gain by bearing and take-off angle, plausible and smooth, not a calculation of
//! any real wire. A horizontal wire has the pattern of a thin straight wire in free space times its mirror
//! image in a perfect ground; an upright one that of a monopole, less a loss at low angles for real ground.
//! (Textbook theory, from memory; the page may not be judged by how well this fits a real antenna.)

use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Speed of light in metres times MHz.
const LIGHT_M_MHZ: f64 = 299.792458;
/// Height of the doublet over the ground in metres.
const DOUBLET_HEIGHT_M: f64 = 6.0;
/// Length of one leg of the doublet in metres.
const DOUBLET_LEG_M: f64 = 10.0;
/// Bearing along which the doublet's legs lie: it looks to 115 and 295 degrees.
const DOUBLET_BEARING_DEG: f64 = 25.0;
/// Share of the best direction that leaks into the doublet's nulls.
const DOUBLET_LEAK: f64 = 0.06;
/// Least share of its own power that the doublet keeps at the lowest angles: real ground is no perfect mirror.
const IMAGE_LEAK: f64 = 0.03;
/// Least share of its field that the upright wire keeps straight up: it leans and bends.
const UPRIGHT_LEAK: f64 = 0.35;
/// Length of the upright wire in metres.
const VERTICAL_M: f64 = 7.0;

/// An antenna.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Antenna {
    /// Two legs of 10 m, 6 m up, lying along 25 and 205 degrees, fed through open-wire line and a tuner.
    LowDoublet,
    /// A wire 7 m upright over a few radials on the ground, with a tuner at its foot.
    ShortVertical,
    /// The control's: the same in all directions, and on both days.
    Unchanged,
}

impl Antenna {
    /// Name in the table of the truth.
    pub fn name(self) -> &'static str {
        match self {
            Self::LowDoublet => "doublet",
            Self::ShortVertical => "vertical",
            Self::Unchanged => "unchanged",
        }
    }

    /// Gain in dBi, losses included, at a frequency, towards a bearing and elevation in degrees.
    pub fn gain_dbi(self, mhz: f64, bearing_deg: f64, elevation_deg: f64) -> f64 {
        let elevation = elevation_deg.to_radians();
        let wave_number = TAU * mhz / LIGHT_M_MHZ;
        match self {
            Self::LowDoublet => doublet(wave_number, mhz, (bearing_deg - DOUBLET_BEARING_DEG).to_radians(), elevation),
            Self::ShortVertical => upright(wave_number, mhz, elevation_deg),
            Self::Unchanged => -1.0 - 6.0 * (-elevation_deg / 7.0).exp(),
        }
    }
}

/// Pattern of a thin straight wire fed in the middle, at an angle from its axis.
fn wire(leg: f64, axis_angle: f64) -> f64 {
    let sine = axis_angle.sin();
    if sine < 1e-6 {
        return 0.0;
    }
    (((leg * axis_angle.cos()).cos() - leg.cos()) / sine).powi(2)
}

fn doublet(wave_number: f64, mhz: f64, off_axis: f64, elevation: f64) -> f64 {
    const STEPS: u32 = 90;
    let leg = wave_number * DOUBLET_LEG_M;
    // mean over the sphere and best direction, by the midpoint rule
    let (mut sum, mut best) = (0.0, 0.0_f64);
    for step in 0..STEPS {
        let angle = PI * (f64::from(step) + 0.5) / f64::from(STEPS);
        let here = wire(leg, angle);
        sum += here * angle.sin();
        best = best.max(here);
    }
    let mean = sum * PI / f64::from(STEPS) / 2.0;
    let axis_angle = (off_axis.cos() * elevation.cos()).clamp(-1.0, 1.0).acos();
    let directivity = (wire(leg, axis_angle) + DOUBLET_LEAK * best) / (mean * (1.0 + DOUBLET_LEAK));
    // the mirror image below a perfect ground
    let image = (2.0 * (wave_number * DOUBLET_HEIGHT_M * elevation.sin()).sin()).powi(2).max(IMAGE_LEAK);
    10.0 * (directivity * image).log10() - doublet_loss_db(mhz)
}

/// Line and tuner: heavy on the lowest band, where the doublet is short.
fn doublet_loss_db(mhz: f64) -> f64 {
    if mhz < 5.0 { 5.0 } else { 1.0 }
}

fn upright(wave_number: f64, mhz: f64, elevation_deg: f64) -> f64 {
    let height = wave_number * VERTICAL_M;
    let elevation = elevation_deg.to_radians().min(FRAC_PI_2 - 1e-3);
    let pattern = ((height * elevation.sin()).cos() - height.cos()) / (elevation.cos() * (1.0 - height.cos()));
    let shape_db = 20.0 * pattern.abs().max(UPRIGHT_LEAK).log10();
    // low angles drown in real ground; a short wire over few radials wastes power on the low bands
    let ground_db = 8.0 * (-elevation_deg / 8.0).exp();
    let loss_db = 0.5 + 80.0 / mhz.powf(1.9);
    1.5 + shape_db - ground_db - loss_db
}
