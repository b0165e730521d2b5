//! The tokens of every theme: one place for all colours and line widths of the pictures.

use std::f64::consts::PI;

use super::colour::Colour;

/// How the picture is to be looked at.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Theme {
    /// Dark on light.
    #[default]
    Light,
    /// Light on dark.
    Dark,
    /// In full daylight: black on white, larger, no grey.
    Sun,
    /// On paper, also without colour.
    Print,
}

/// Which of the two antennas a mark speaks of. The first is blue and round, the second vermillion and three-cornered.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Antenna {
    /// The only one, or the first of two.
    #[default]
    A,
    /// The second of two.
    B,
}

/// Colours and line widths of one theme.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Palette {
    /// The theme it belongs to.
    pub theme: Theme,
    /// The page.
    pub paper: Colour,
    /// Sea, fields, menus.
    pub sheet: Colour,
    /// Text, rims, strong rules.
    pub ink: Colour,
    /// Units, captions, second lines.
    pub soft: Colour,
    /// Row lines.
    pub hair: Colour,
    /// Rings and spokes.
    pub ring: Colour,
    /// Fill of land.
    pub land: Colour,
    /// Coast line.
    pub coast: Colour,
    /// Focus ring.
    pub focus: Colour,
    /// Colours of the first antenna.
    pub a: AntennaColours,
    /// Colours of the second antenna.
    pub b: AntennaColours,
    /// Line widths and sizes.
    pub weights: Weights,
}

/// Colours of one antenna.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AntennaColours {
    /// Marks and bars.
    pub mark: Colour,
    /// Its name in words, outline of petals.
    pub ink: Colour,
    /// Fill of petals.
    pub wash: Colour,
    /// Outline of marks filled from the ramp.
    pub edge: Colour,
}

/// Line widths in pixels, and how large marks are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weights {
    /// Factor on the radii of marks.
    pub mark_scale: f64,
    /// Outline of marks.
    pub edge: f64,
    /// Coast line.
    pub coast: f64,
    /// Rings and spokes.
    pub ring: f64,
    /// The circles of the rim.
    pub rim: f64,
    /// Outline of petals.
    pub petal: f64,
}

const LIGHT_WEIGHTS: Weights = Weights { mark_scale: 1.0, edge: 1.25, coast: 0.75, ring: 0.75, rim: 0.9, petal: 1.0 };
const SUN_WEIGHTS: Weights = Weights { mark_scale: 1.5, edge: 2.0, coast: 1.0, ring: 1.25, rim: 1.5, petal: 2.0 };

const LIGHT: Palette = Palette {
    theme: Theme::Light,
    paper: Colour::rgb(0xF8F8F5),
    sheet: Colour::rgb(0xFFFFFF),
    ink: Colour::rgb(0x1A2024),
    soft: Colour::rgb(0x525A60),
    hair: Colour::rgb(0xCDD0CA),
    ring: Colour::rgb(0xB4B9B0),
    land: Colour::rgb(0xE6E8DE),
    coast: Colour::rgb(0xA6AC9C),
    focus: Colour::rgb(0x1A2024),
    a: AntennaColours {
        mark: Colour::rgb(0x0072B2),
        ink: Colour::rgb(0x005E94),
        wash: Colour::rgb(0xDCEAF3),
        edge: Colour::rgb(0x0B2A40),
    },
    b: AntennaColours {
        mark: Colour::rgb(0xD55E00),
        ink: Colour::rgb(0xA34700),
        wash: Colour::rgb(0xFAE6D8),
        edge: Colour::rgb(0x5A2700),
    },
    weights: LIGHT_WEIGHTS,
};

const DARK: Palette = Palette {
    theme: Theme::Dark,
    paper: Colour::rgb(0x12171A),
    sheet: Colour::rgb(0x171D21),
    ink: Colour::rgb(0xEAE8E1),
    soft: Colour::rgb(0xA8B0B3),
    hair: Colour::rgb(0x333B40),
    ring: Colour::rgb(0x4A555B),
    land: Colour::rgb(0x212A2F),
    coast: Colour::rgb(0x5A676D),
    focus: Colour::rgb(0xEAE8E1),
    a: AntennaColours {
        mark: Colour::rgb(0x0C80C2),
        ink: Colour::rgb(0x6CBBEA),
        wash: Colour::rgb(0x14344A),
        edge: Colour::rgb(0xCFE6F6),
    },
    b: AntennaColours {
        mark: Colour::rgb(0xDE6A12),
        ink: Colour::rgb(0xF19A5B),
        wash: Colour::rgb(0x43240F),
        edge: Colour::rgb(0xFBD9C2),
    },
    weights: LIGHT_WEIGHTS,
};

const SUN: Palette = Palette {
    theme: Theme::Sun,
    paper: Colour::WHITE,
    sheet: Colour::WHITE,
    ink: Colour::BLACK,
    soft: Colour::BLACK,
    hair: Colour::BLACK,
    ring: Colour::BLACK,
    land: Colour::WHITE,
    coast: Colour::BLACK,
    focus: Colour::BLACK,
    a: AntennaColours {
        mark: Colour::rgb(0x0072B2),
        ink: Colour::rgb(0x004B78),
        wash: Colour::WHITE,
        edge: Colour::BLACK,
    },
    b: AntennaColours {
        mark: Colour::rgb(0xD55E00),
        ink: Colour::rgb(0x8A3900),
        wash: Colour::WHITE,
        edge: Colour::BLACK,
    },
    weights: SUN_WEIGHTS,
};

const PRINT: Palette = Palette {
    theme: Theme::Print,
    paper: Colour::WHITE,
    sheet: Colour::WHITE,
    ink: Colour::BLACK,
    soft: Colour::rgb(0x3D4347),
    hair: Colour::rgb(0xB9BDB8),
    ring: Colour::rgb(0xA5AAA2),
    land: Colour::rgb(0xEDEDE8),
    coast: Colour::rgb(0x9A9F96),
    focus: Colour::BLACK,
    a: AntennaColours {
        mark: Colour::rgb(0x0072B2),
        ink: Colour::rgb(0x005A8D),
        wash: Colour::rgb(0xE3EEF5),
        edge: Colour::rgb(0x0B2A40),
    },
    b: AntennaColours {
        mark: Colour::rgb(0xD55E00),
        ink: Colour::rgb(0x953F00),
        wash: Colour::rgb(0xFBE9DC),
        edge: Colour::rgb(0x5A2700),
    },
    weights: LIGHT_WEIGHTS,
};

impl Palette {
    /// The tokens of a theme.
    pub const fn of(theme: Theme) -> Self {
        match theme {
            Theme::Light => LIGHT,
            Theme::Dark => DARK,
            Theme::Sun => SUN,
            Theme::Print => PRINT,
        }
    }

    /// The colours of an antenna.
    pub const fn antenna(&self, antenna: Antenna) -> AntennaColours {
        match antenna {
            Antenna::A => self.a,
            Antenna::B => self.b,
        }
    }

    /// Fills for so many bands, longest wave first and darkest: one hue, the antenna's, in even steps of lightness.
    ///
    /// Ask for as many steps as there are bands in all loaded work, so that a filter never recolours.
    /// The same in every theme: the outline (`edge`) carries the contrast, the band's name the meaning.
    pub fn ramp(&self, antenna: Antenna, steps: usize) -> Vec<Colour> {
        let hue_deg = match antenna {
            Antenna::A => 243.0,
            Antenna::B => 48.0,
        };
        (0..steps)
            .map(|step| {
                let share = if steps > 1 { step as f64 / (steps - 1) as f64 } else { 0.35 };
                Colour::from_oklch(0.33 + 0.625 * share, 0.105 * (PI * (0.18 + 0.72 * share)).sin(), hue_deg)
            })
            .collect()
    }

    /// Fills for counts, few to many, in five steps. In Sun there are none: the size of a square speaks.
    pub const fn hour_ramp(&self) -> [Colour; 5] {
        match self.theme {
            Theme::Light | Theme::Print => [
                Colour::rgb(0xD7EBFB),
                Colour::rgb(0x93C5ED),
                Colour::rgb(0x5D9ECF),
                Colour::rgb(0x3D77A1),
                Colour::rgb(0x325168),
            ],
            Theme::Dark => [
                Colour::rgb(0x122E42),
                Colour::rgb(0x1E4C6D),
                Colour::rgb(0x4F90C1),
                Colour::rgb(0x7BB1DD),
                Colour::rgb(0xB9D9F3),
            ],
            Theme::Sun => [Colour::WHITE; 5],
        }
    }

    /// Colour of a figure on a step of [`Palette::hour_ramp`], 0 to 4.
    pub const fn on_hour_ramp(&self, step: usize) -> Colour {
        match self.theme {
            Theme::Light | Theme::Print if step >= 3 => Colour::WHITE,
            Theme::Dark if step >= 2 => LIGHT.ink,
            _ => self.ink,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::colour::contrast;
    use super::*;

    const THEMES: [Theme; 4] = [Theme::Light, Theme::Dark, Theme::Sun, Theme::Print];

    /// Least contrast with any ground of the pictures.
    fn worst(palette: &Palette, colour: Colour) -> f64 {
        [palette.paper, palette.sheet, palette.land]
            .into_iter()
            .map(|ground| contrast(colour, ground))
            .fold(f64::INFINITY, f64::min)
    }

    #[test]
    fn contrast_table() {
        // per theme: ink, soft, name A, name B, mark A, mark B, edge A, edge B; to the digits the design states
        let stated = [
            (Theme::Light, [13.3, 5.7, 5.6, 4.9, 4.2, 3.1, 11.9, 9.8]),
            (Theme::Dark, [11.9, 6.6, 6.9, 6.6, 3.4, 4.3, 11.3, 11.0]),
            (Theme::Sun, [21.0, 21.0, 9.2, 7.9, 5.2, 3.9, 21.0, 21.0]),
            (Theme::Print, [17.9, 8.5, 6.3, 6.0, 4.4, 3.3, 12.6, 10.4]),
        ];
        for (theme, stated) in stated {
            let p = Palette::of(theme);
            let found = [p.ink, p.soft, p.a.ink, p.b.ink, p.a.mark, p.b.mark, p.a.edge, p.b.edge];
            for (place, (colour, stated)) in found.into_iter().zip(stated).enumerate() {
                let found = worst(&p, colour);
                assert!((found - stated).abs() <= 0.0501, "{theme:?} column {place}: {found:.3}, stated {stated}");
            }
        }
    }

    #[test]
    fn words_and_marks_are_seen_on_every_ground() {
        for theme in THEMES {
            let p = Palette::of(theme);
            let wanted = if theme == Theme::Sun { 7.0 } else { 4.5 };
            for words in [p.ink, p.soft, p.a.ink, p.b.ink] {
                assert!(worst(&p, words) >= wanted, "{theme:?}: {}", words.css());
            }
            for mark in [p.a.mark, p.b.mark, p.a.edge, p.b.edge, p.focus] {
                assert!(worst(&p, mark) >= 3.0, "{theme:?}: {}", mark.css());
            }
        }
    }

    /// Night over land and sea, as the Disc draws it.
    fn at_night(theme: Theme, ground: Colour) -> Option<Colour> {
        let (shade, share) = match theme {
            Theme::Sun => return None,
            Theme::Dark => (Colour::BLACK, 0.42),
            Theme::Light | Theme::Print => (Palette::of(theme).ink, 0.1),
        };
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "between 0 and 255")]
        let mix = |over: u8, under: u8| (f64::from(over) * share + f64::from(under) * (1.0 - share)).round() as u32;
        let (red, green, blue) =
            (mix(shade.red, ground.red), mix(shade.green, ground.green), mix(shade.blue, ground.blue));
        Some(Colour::rgb(red << 16 | green << 8 | blue))
    }

    #[test]
    fn petals_and_outlines_are_seen_where_they_lie() {
        for theme in THEMES {
            let p = Palette::of(theme);
            for side in [p.a, p.b] {
                // petals: the outline against what it encloses and what lies round it; the count at the tip
                for ground in [side.wash, p.paper] {
                    assert!(contrast(side.ink, ground) >= 3.0, "{theme:?}: outline of a petal");
                    assert!(contrast(p.ink, ground) >= 4.5, "{theme:?}: count of a petal");
                }
                // marks filled from the ramp, where the Disc is shaded: the outline, and words over it;
                // marks in one colour stand on discs of a pair only, which are never shaded
                for ground in [p.sheet, p.land].into_iter().filter_map(|ground| at_night(theme, ground)) {
                    assert!(contrast(side.edge, ground) >= 3.0, "{theme:?}: outline of a mark at night");
                    assert!(contrast(p.ink, ground) >= 4.5, "{theme:?}: words at night");
                }
            }
        }
    }

    /// Hatching (`soft`, and ink in Sun), dashed intervals (`soft`), intervals and bars (`mark`), whiskers and frames
    /// (`ink`), on paper, on fields and on the tinted strip, which has the colour of land.
    #[test]
    fn lines_are_seen_on_every_ground() {
        for theme in THEMES {
            let p = Palette::of(theme);
            for line in [p.soft, p.ink, p.a.mark, p.b.mark] {
                assert!(worst(&p, line) >= 3.0, "{theme:?}: {}", line.css());
            }
        }
    }

    #[test]
    fn figures_are_read_on_the_count_ramp() {
        for theme in [Theme::Light, Theme::Dark, Theme::Print] {
            let p = Palette::of(theme);
            for (step, ground) in p.hour_ramp().into_iter().enumerate() {
                let found = contrast(p.on_hour_ramp(step), ground);
                assert!(found >= 4.5, "{theme:?} step {step}: {found:.2}");
            }
        }
    }

    #[test]
    fn band_ramp_is_even_and_one_hue() {
        let p = Palette::of(Theme::Light);
        let hex = |colours: Vec<Colour>| colours.into_iter().map(Colour::css).collect::<Vec<_>>();
        let near = |found: Vec<Colour>, stated: [u32; 5]| {
            for (found, stated) in found.into_iter().zip(stated) {
                let stated = Colour::rgb(stated);
                for (a, b) in [(found.red, stated.red), (found.green, stated.green), (found.blue, stated.blue)] {
                    assert!(a.abs_diff(b) <= 2, "{} is not near {}", found.css(), stated.css());
                }
            }
        };
        near(p.ramp(Antenna::A, 5), [0x193850, 0x266591, 0x4F94C7, 0x90C4EE, 0xDEF3FF]);
        near(p.ramp(Antenna::B, 5), [0x4D2C1A, 0x8A4D2C, 0xC07953, 0xE9AE90, 0xFFEADE]);
        for steps in [2, 5, 8, 10] {
            let ramp = p.ramp(Antenna::A, steps);
            assert!(ramp.windows(2).all(|pair| pair[0].luminance() < pair[1].luminance()), "{:?}", hex(ramp));
        }
        assert_eq!(p.ramp(Antenna::A, 0), []);
        assert_eq!(p.ramp(Antenna::A, 1).len(), 1);
    }

    #[test]
    fn every_ramp_mark_has_an_edge_that_is_seen() {
        // a mark must show against its ground by its edge, or (dark theme, light fills) by edge and fill alike
        for theme in THEMES {
            let p = Palette::of(theme);
            for antenna in [Antenna::A, Antenna::B] {
                assert!(worst(&p, p.antenna(antenna).edge) >= 3.0);
            }
        }
    }
}
