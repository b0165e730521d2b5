//! Four times the text costs about four times the work.
//!
//! Work is the processor time of the reading thread alone, as Linux counts it, so that other load on the machine does
//! not count. Each text is something that a careless reader goes over again and again.

use farheard::import::{self, Wishes};
use farheard::model::TableBuilder;

use super::pieces::{FIELDS, SCRAPS};

const HEAD: &str = "time UTC,transmitter,receiver,remarks\n";

/// Processor time of this thread so far, in milliseconds.
fn worked_ms() -> f64 {
    let stat = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap();
    stat.split(' ').next().unwrap().parse::<f64>().unwrap() / 1e6
}

fn cost_ms(bytes: &[u8]) -> f64 {
    let start = worked_ms();
    let mut builder = TableBuilder::new();
    let readings = import::read("growing", bytes, &Wishes::default(), &mut builder);
    assert!(!readings.is_empty());
    worked_ms() - start
}

#[test]
fn four_times_the_text_costs_about_four_times_the_work() {
    let mut units: Vec<String> = SCRAPS.iter().map(|scrap| (*scrap).to_owned()).collect();
    units.extend(SCRAPS.iter().map(|scrap| format!("2031-04-27 12:00,Q1ABC,Q8STU,{scrap}\n")));
    units.extend(SCRAPS.iter().map(|scrap| format!("2031-04-27 12:00,Q1ABC,Q8STU,\"{scrap}\n")));
    units.extend(SCRAPS.iter().map(|scrap| format!("{scrap},")));
    units.extend(FIELDS.iter().map(|(name, value)| format!("<{name}:{}>{value}", value.len() + 1)));
    units.extend(FIELDS.iter().map(|(name, value)| format!("<{name}:9999999>{value}<EOR>")));
    let others = [
        "\"\"\n",
        "\"a\"b",
        "\"\n\n",
        "<a",
        "<CALL:5>Q1ABC",
        "<RECORD><CALL>Q1ABC",
        "<RECORD><CALL>&lt",
        "time UTC;call\n",
        "time,transmitter,receiver,locator\n",
        HEAD,
        "Q1ABC  Q8STU  2031-04-27  12:00\n",
        "a b c d e f\n",
        "\u{2502} a \u{2502}\n",
        "2031-04-27 12:00,Q1ABC,Q8STU,\"a \"b\" c\"\n",
        "receiver;SNR dB;time UTC;transmitter\nQ5AA;-9;2031-04-27 12:02;Q2RS\n",
        "2031-04-27 12:00,Q1ABC,Q8STU,x\nreceiver,SNR dB,time UTC,transmitter\n",
        "x,\"\n",
        "\",\n",
        "\" \"x",
        "<eoh>",
        "<app_x:3><a>",
        "<a:1>",
        "<!--",
        "<![CDATA[",
        "&#",
        "<x:9>",
    ];
    units.extend(others.into_iter().map(str::to_owned));
    let mut slow = Vec::new();
    for unit in units {
        for head in ["", HEAD, "x <CALL:5>Q1ABC<EOR>\n", "<?xml?><ADX><RECORDS>", "\""] {
            let text = |size: usize| {
                let mut text = head.to_owned();
                text += &unit.repeat(size / unit.len().max(1) + 1);
                text.into_bytes()
            };
            // small texts first: only what costs something there is worth a look
            let small = cost_ms(&text(40_000));
            let mut large = cost_ms(&text(160_000));
            let most = 4.0 * small * 2.5 + 25.0;
            if large > most {
                // once more, as pages of memory and caches have their own time
                large = large.min(cost_ms(&text(160_000)));
            }
            if large > most {
                slow.push(format!(
                    "{head:?} and {unit:?} again and again: {small:.1} ms, four times of it {large:.1} ms"
                ));
            }
        }
    }
    assert!(slow.is_empty(), "{}", slow.join("\n"));
}
