//! x
mod calibrate;
fn main() {
    let t: usize = std::env::args().nth(1).unwrap().parse().unwrap();
    let p = calibrate::Plan { trials: t, seed: std::env::args().nth(2).and_then(|s| s.parse().ok()).unwrap_or(1) };
    let s = calibrate::run(p);
    print!("{}", calibrate::table(&s));
    for x in &s {
        println!("{} too few {}", x.design.name(), x.too_few);
    }
}
