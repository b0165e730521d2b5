//! Files that take the place of others: nothing of what was there before is looked up in what came.

use farheard::page::{Event, Origin, Picture};

mod page;
use page::Page;

const LARGE: &str = include_str!("../../sample-files/two-antennas-two-days.csv");
const CONTROL: &str = include_str!("../../sample-files/control-beacon-two-days.csv");
const SMALL: &str =
    "utc,sent by,from,heard by,at\n2031-10-11 00:00,Q7TST,IN71,Q1ABC,JO22\n2031-10-11 00:02,Q7TST,IN71,Q2XYZ,JO22\n";

/// In every view, with every part that looks stations up.
#[test]
fn fewer_stations_take_the_place_of_many_in_every_view() {
    for view in ["disc", "spots", "compare", "plan", "health", "sky", "reading"] {
        let mut page = Page::booted();
        for picture in Picture::ALL {
            page.tell(Event::Size { picture, width: 700.0, height: 400.0, ratio: 1.0 });
        }
        page.tell(Event::File { name: "control.csv".to_owned(), bytes: CONTROL.into() });
        page.give("large.csv", LARGE, Origin::Person);
        page.act("view", "compare");
        let work = page.work_file();
        page.give("work.json", work, Origin::Person);
        page.draw();
        page.act("second", "replace");
        page.draw();
        page.act("view", "compare");
        page.draw();
        page.act("view", view);
        page.draw();
        page.give("small.csv", SMALL, Origin::Person);
        page.act("second", "replace");
        page.draw();
        assert!(page.has("answer", "2\u{a0}spots from 2\u{a0}listeners"), "{view}: {}", page.words("answer"));
    }
}
