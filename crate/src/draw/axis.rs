//! Round numbers for axes, rings and classes.

/// Leading digits that read as round.
const ROUND: [f64; 10] = [1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0];

/// The smallest round number that is not below `value`; 1 for what is not positive or not finite.
pub fn round_up(value: f64) -> f64 {
    let Some(power) = power_of_ten(value) else { return 1.0 };
    let lead = value / power;
    ROUND.into_iter().find(|&round| round >= lead - 1e-9).unwrap_or(10.0) * power
}

/// The round number nearest to `value` by ratio; 1 for what is not positive or not finite.
pub fn round_near(value: f64) -> f64 {
    let Some(power) = power_of_ten(value) else { return 1.0 };
    let lead = value / power;
    let off = |round: f64| (round / lead).ln().abs();
    ROUND.into_iter().min_by(|a, b| off(*a).total_cmp(&off(*b))).unwrap_or(1.0) * power
}

fn power_of_ten(value: f64) -> Option<f64> {
    (value.is_finite() && value > 0.0).then(|| 10_f64.powf(value.log10().floor()))
}

/// An axis from zero in equal round steps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axis {
    /// Size of a step.
    pub step: f64,
    /// How many steps.
    pub steps: u32,
}

impl Axis {
    /// An axis of so many steps that holds `greatest`.
    pub fn holding(greatest: f64, steps: u32) -> Self {
        let steps = steps.max(1);
        Self { step: round_up(greatest / f64::from(steps)), steps }
    }

    /// The end of the axis.
    pub fn end(self) -> f64 {
        self.step * f64::from(self.steps)
    }

    /// The values at which lines stand, without zero.
    pub fn lines(self) -> impl Iterator<Item = f64> {
        (1..=self.steps).map(move |line| self.step * f64::from(line))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(found: f64, stated: f64) {
        assert!((found - stated).abs() < 1e-9 * stated.max(1.0), "{found}, not {stated}");
    }

    #[test]
    fn round_numbers() {
        near(round_up(1893.0), 2000.0);
        near(round_up(2000.0), 2000.0);
        near(round_up(0.0), 1.0);
        near(round_up(f64::NAN), 1.0);
        near(round_up(9983.0), 10000.0);
        near(round_near(20.2), 20.0);
        near(round_near(112.0), 100.0);
        near(round_near(0.85), 0.8);
    }

    #[test]
    fn axes_hold_what_they_show() {
        for greatest in [0.3, 7.0, 946.0, 1893.0, 7716.0, 19966.0] {
            let axis = Axis::holding(greatest, 2);
            assert!(axis.end() >= greatest, "{greatest}");
            assert!(axis.end() <= greatest * 1.6, "{greatest}");
        }
        assert_eq!(Axis::holding(1893.0, 2).lines().collect::<Vec<_>>(), [1000.0, 2000.0]);
    }
}
