//! Colours, their contrast, and the step from lightness, chroma and hue to red, green and blue.

/// A colour of the sRGB space.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Colour {
    /// Red, 0 to 255.
    pub red: u8,
    /// Green, 0 to 255.
    pub green: u8,
    /// Blue, 0 to 255.
    pub blue: u8,
    /// How much of it covers the ground: 0 nothing, 1 all.
    pub alpha: f32,
}

impl Colour {
    /// White.
    pub const WHITE: Self = Self::rgb(0xFFFFFF);
    /// Black.
    pub const BLACK: Self = Self::rgb(0x000000);

    /// A colour from its six hexadecimal digits.
    pub const fn rgb(hex: u32) -> Self {
        let [_, red, green, blue] = hex.to_be_bytes();
        Self { red, green, blue, alpha: 1.0 }
    }

    /// The same colour covering only a share of the ground, 0 to 1.
    #[must_use]
    pub const fn with_alpha(self, alpha: f32) -> Self {
        Self { alpha, ..self }
    }

    /// As style sheets write it: `#1A2024`, or with eight digits where it does not cover.
    pub fn css(self) -> String {
        let Self { red, green, blue, alpha } = self;
        if alpha >= 1.0 {
            return format!("#{red:02X}{green:02X}{blue:02X}");
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to 0 to 255")]
        let alpha = (alpha.clamp(0.0, 1.0) * 255.0).round() as u8;
        format!("#{red:02X}{green:02X}{blue:02X}{alpha:02X}")
    }

    /// Relative luminance, 0 for black to 1 for white.
    ///
    /// Source: W3C, Web Content Accessibility Guidelines 2.2, 'relative luminance'.
    pub fn luminance(self) -> f64 {
        let linear = |channel: u8| {
            let value = f64::from(channel) / 255.0;
            if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * linear(self.red) + 0.7152 * linear(self.green) + 0.0722 * linear(self.blue)
    }

    /// A colour from lightness (0 to 1), chroma and hue in degrees of the Oklab space;
    /// what sRGB cannot show is cut off per channel.
    ///
    /// Source: B. Ottosson, 'A perceptual color space for image processing' (2020), matrices of its revised version;
    /// the same as in W3C, CSS Color Module Level 4.
    pub fn from_oklch(lightness: f64, chroma: f64, hue_deg: f64) -> Self {
        let (sin, cos) = hue_deg.to_radians().sin_cos();
        let (a, b) = (chroma * cos, chroma * sin);
        let long = (lightness + 0.3963377774 * a + 0.2158037573 * b).powi(3);
        let medium = (lightness - 0.1055613458 * a - 0.0638541728 * b).powi(3);
        let short = (lightness - 0.0894841775 * a - 1.2914855480 * b).powi(3);
        let channel = |linear: f64| {
            let value = if linear <= 0.0031308 { 12.92 * linear } else { 1.055 * linear.powf(1.0 / 2.4) - 0.055 };
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to 0 to 255")]
            let byte = (value.clamp(0.0, 1.0) * 255.0).round() as u8;
            byte
        };
        Self {
            red: channel(4.0767416621 * long - 3.3077115913 * medium + 0.2309699292 * short),
            green: channel(-1.2684380046 * long + 2.6097574011 * medium - 0.3413193965 * short),
            blue: channel(-0.0041960863 * long - 0.7034186147 * medium + 1.7076147010 * short),
            alpha: 1.0,
        }
    }
}

/// Contrast of two colours that cover, 1 to 21, in either order.
///
/// Source: W3C, Web Content Accessibility Guidelines 2.2, 'contrast ratio'.
pub fn contrast(a: Colour, b: Colour) -> f64 {
    let (a, b) = (a.luminance(), b.luminance());
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn contrast_of_the_ends() {
        assert!((contrast(Colour::BLACK, Colour::WHITE) - 21.0).abs() < 1e-9);
        assert!((contrast(Colour::WHITE, Colour::WHITE) - 1.0).abs() < 1e-9);
        // the mid grey that is commonly named as the lightest text allowed on white
        assert!((contrast(Colour::rgb(0x767676), Colour::WHITE) - 4.54).abs() < 0.005);
    }

    #[test]
    fn oklch_of_known_colours() {
        // CSS Color Module Level 4, sample conversions: oklch of red, lime and blue
        assert_eq!(Colour::from_oklch(0.62796, 0.25768, 29.234), Colour::rgb(0xFF0000));
        assert_eq!(Colour::from_oklch(0.86644, 0.29483, 142.495), Colour::rgb(0x00FF00));
        assert_eq!(Colour::from_oklch(0.45201, 0.31321, 264.052), Colour::rgb(0x0000FF));
        assert_eq!(Colour::from_oklch(1.0, 0.0, 0.0), Colour::WHITE);
    }

    #[test]
    fn css_names() {
        assert_eq!(Colour::rgb(0x0B2A40).css(), "#0B2A40");
        assert_eq!(Colour::BLACK.with_alpha(0.1).css(), "#0000001A");
    }
}
