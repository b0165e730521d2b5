//! What controls do: the words of `data-act` in the templates.

use std::collections::BTreeSet;

use super::memory::Memory;
use super::menus::{class_limits, last_from};
use super::message::{Patch, Picture};
use super::parts::Part;
use super::session::Session;
use super::state::{Column, Menu, Rows, Shade, Sorting, Told, View};
use super::tour::Tour;
use super::views::spots::PAGE;
use super::words::{self, number};
use crate::figure::disc::{ViewKind, Zoom};
use crate::geography::Locator;
use crate::import::{
    DateOrder, DecimalMark, Delimiter, Encoding, FreqUnit, HeaderWish, PowerUnit, Reason, Report, Role, Wishes,
    aside_file,
};
use crate::model::{Band, Side};
use crate::order::set;
use crate::study::Filter;
use crate::study::doubt::Doubt;
use crate::time::UtcTime;
use crate::words::Length;
use crate::words::number::counted;

/// Factor of one press on a zoom button.
const ZOOM_STEP: f64 = 1.6;

impl Session {
    /// Does what a control asks for. Words that mean nothing do nothing.
    pub(super) fn act(&mut self, act: &str, value: &str, shift: bool) {
        // whoever does something else wants to look at it
        if act != "play" && std::mem::take(&mut self.state.play.on) {
            self.record("play");
        }
        if self.is_kept_as_sent(act) {
            return;
        }
        match act {
            "play" => self.play(value),
            "view" => self.show_view(value),
            "open" => self.open(value),
            "close" => self.close_menu(),
            "fold" => self.state.menu = None,
            "new-version" => self.out.push(Patch::NewVersion),
            "dismiss" if self.asks_archive() => self.leave_archive(),
            "dismiss" => self.notice = None,
            "archive" => self.keep_of_archive(value),
            "second" => self.decide_second(value),
            "escape" => self.escape(),
            "unit" => {
                self.state.length = if value == "mi" { Length::Miles } else { Length::Km };
                self.pictures.zoom = Zoom::default();
                self.pictures.touch_all();
            }
            "zone" => {
                if value == "local" {
                    self.state.clock.show_local();
                } else {
                    self.state.clock.show_utc();
                }
            }
            "theme" => {
                self.state.shade = Shade::from_word(value).unwrap_or_default();
                self.pictures.touch_all();
            }
            "extent" => self.show_extent(if value == "near" { ViewKind::NearView } else { ViewKind::WholeReach }),
            "zoom" => self.zoom(value),
            "rows" => {
                self.state.rows = if value == "listeners" { Rows::Listeners } else { Rows::Spots };
            }
            "sort" => self.sort(value),
            "page" => self.turn_page(value),
            "copy" => {
                if let Some(text) = self.spots().map(|table| table.as_text()) {
                    let rows = text.lines().count().saturating_sub(1);
                    self.out.push(Patch::Copy { text });
                    self.announce(format!("{} copied.", counted(rows, "row", "rows")));
                }
            }
            "save" => self.save(value),
            "keep-back" => self.keep_back(value),
            "pin" => self.pin_call(value),
            "unpin" => {
                self.state.focused.clear();
                self.state.pinned.clear();
                self.pictures.touch_pins();
                self.out.push(Patch::Focus { id: "picture-disc".to_owned() });
            }
            "nearer" => self.come_nearer(),
            "twin" => {
                if let Some(picture) = Picture::from_name(value) {
                    let as_table = &mut self.state.as_table;
                    if as_table.remove(picture).is_none() {
                        as_table.insert(picture, ());
                    }
                }
            }
            "station" => self.choose_station(value),
            "home" => self.choose_home(value),
            "by-hand" => self.read_by_hand(),
            "first-date" => self.date_files(value),
            "file" => self.state.file = value.parse().unwrap_or(0),
            "save-aside" => self.save_aside(),
            "tour" => self.act_tour(value),
            "undo-step" => self.step(false, value),
            "redo-step" => self.step(true, value),
            "undo" => self.undo_correction(),
            "unrecall" => self.unrecall(),
            "keep" => self.keep_work(value),
            "share-by" => self.say_by(value),
            "begin-own" => self.begin_own(),
            "keep-corrections" => self.keep_corrections(value),
            "role" => self.correct_role(value),
            "accept-roles" => self.accept_roles(),
            "how" => {
                let asked = if value == "all" { Some(Told::AllBands) } else { Band::from_name(value).map(Told::Band) };
                self.state.how = if self.state.how == asked { None } else { asked };
            }
            "watch" => {
                self.watch.at = value.parse().unwrap_or(0);
                self.pictures.at.clear();
                self.pictures.touch_all();
            }
            _ if act.starts_with("sky-") => self.act_sky(act, value),
            _ if act.starts_with("plan-") => self.act_plan(act, value),
            _ if act.starts_with("run-") => self.act_runs(act, value),
            "use-aside" => self.use_aside(value),
            "runner-up" => self.take_runner_up(),
            _ if act.starts_with("wish-") => self.correct_decision(act, value),
            _ => self.change_filter(act, value, shift),
        }
    }

    fn show_view(&mut self, value: &str) {
        let Some(view) = View::from_word(value) else { return };
        self.leave_by_hand();
        if self.work.is_none() {
            return;
        }
        self.state.view = view;
        self.state.menu = None;
        self.state.focused.clear();
        self.pictures.at.clear();
        self.pictures.touch_all();
    }

    fn open(&mut self, value: &str) {
        let menu = Menu::from_word(value);
        let phone = self.state.surroundings.narrow;
        self.state.menu = if self.state.menu == menu {
            // on a phone the sheet of filters stays when one of them is folded
            if phone && menu.is_some_and(Menu::is_filter) { Some(Menu::Filters) } else { None }
        } else if phone && menu == Some(Menu::Filters) && self.state.menu.is_some_and(Menu::is_filter) {
            None
        } else {
            menu
        };
        self.state.search.clear();
        if self.state.menu == Some(Menu::Save) {
            // it may stand out of sight of its button
            self.out.push(Patch::Focus { id: "menu-save".to_owned() });
        }
        if phone && self.state.menu.is_some() {
            self.state.focused.clear();
        }
        self.home_wrong.clear();
    }

    pub(super) fn close_menu(&mut self) {
        if let Some(menu) = self.state.menu.take() {
            let prefix = match menu {
                Menu::Filters | Menu::More => "thumb",
                Menu::Save if self.state.view != View::Spots => "keep",
                _ => "open",
            };
            self.out.push(Patch::Focus { id: format!("{prefix}-{}", menu.word()) });
        }
    }

    /// The Esc key: it closes what lies on top, one thing at a time.
    pub(super) fn escape(&mut self) {
        if self.state.menu.is_some() {
            self.close_menu();
        } else if !self.state.focused.is_empty() {
            self.state.focused.clear();
            self.pictures.touch(Picture::Disc);
        } else if self.arrived.is_some() {
            self.decide_second("leave");
        } else if self.notice.is_none() && matches!(self.tour, Tour::At(_)) {
            self.act_tour("leave");
        } else if self.close_run() {
        } else if matches!(self.state.view, View::Sky | View::Health) {
            let id = if self.state.view == View::Sky { "larger-hours" } else { "larger-time" };
            self.show_view("disc");
            self.out.push(Patch::Focus { id: id.to_owned() });
        } else if self.notice.is_none() && self.tour == Tour::Offered {
            self.act_tour("leave");
        } else if self.notice.take().is_none() {
            self.state.pinned.clear();
            self.pictures.touch_pins();
        }
    }

    pub(super) fn show_extent(&mut self, kind: ViewKind) {
        self.pictures.kind = Some(kind);
        self.pictures.zoom = Zoom::default();
        self.pictures.touch(Picture::Disc);
        self.pictures.touch(Picture::Bearings);
    }

    pub(super) fn zoom(&mut self, value: &str) {
        if let Some(scene) = &self.pictures.scene {
            let centre = scene.centre;
            let zoom = self.pictures.zoom;
            self.pictures.zoom = match value {
                "in" => zoom.about(scene, centre.x, centre.y, ZOOM_STEP),
                "out" => zoom.about(scene, centre.x, centre.y, 1.0 / ZOOM_STEP),
                _ => Zoom::default(),
            };
        }
        self.pictures.touch(Picture::Disc);
    }

    /// Comes so near to listeners drawn as one that they part.
    fn come_nearer(&mut self) {
        let Some(first) = self.state.pinned.first().or(self.state.focused.first()).copied() else { return };
        if let Some(scene) = &self.pictures.scene
            && let Some(mark) = scene.mark_of(first)
        {
            self.pictures.zoom = self.pictures.zoom.about(scene, mark.x, mark.y, 4.0);
        }
        self.state.pinned.clear();
        self.state.focused.clear();
        self.pictures.touch(Picture::Disc);
        self.out.push(Patch::Focus { id: "picture-disc".to_owned() });
    }

    fn sorting_mut(&mut self) -> &mut Sorting {
        match self.state.rows {
            Rows::Spots => &mut self.state.spots_sorting,
            Rows::Listeners => &mut self.state.listeners_sorting,
        }
    }

    fn sort(&mut self, value: &str) {
        let Some(column) = Column::from_word(value) else { return };
        let sorting = self.sorting_mut();
        let order = if sorting.column == column { sorting.order.other() } else { column.first_order() };
        *sorting = Sorting { column, order, page: 0 };
        if let Some(table) = self.spots() {
            self.announce(table.caption().to_owned());
        }
    }

    fn turn_page(&mut self, value: &str) {
        let rows = self.order.as_ref().map_or(0, |(_, order)| order.len());
        let last = rows.div_ceil(PAGE).saturating_sub(1);
        let sorting = self.sorting_mut();
        sorting.page = match value {
            "back" => sorting.page.saturating_sub(1),
            "on" => sorting.page + 1,
            number => number.parse::<usize>().map_or(sorting.page, |number| number.saturating_sub(1)),
        }
        .min(last);
        if let Some(table) = self.spots() {
            self.announce(table.caption().to_owned());
        }
    }

    fn pin_call(&mut self, value: &str) {
        let Some(work) = &self.work else { return };
        let Some(call) = work.loaded.table.stations().find_call(value) else { return };
        self.pin(vec![call]);
    }

    fn choose_station(&mut self, value: &str) {
        let Some((side, call)) = value.split_once(':') else { return };
        let side = if side == "hears" { Side::Hears } else { Side::Sends };
        self.state.menu = None;
        // a home that was typed belonged to the station before
        self.test(call, side, None);
        self.out.push(Patch::Focus { id: "open-station".to_owned() });
    }

    fn choose_home(&mut self, value: &str) {
        let Some(work) = &self.work else { return };
        value.clone_into(&mut self.home_typed);
        match Locator::parse(value.trim()) {
            Ok(home) if home.len() >= 4 => {
                self.home_wrong.clear();
                self.state.menu = None;
                let (call, side) = (work.loaded.name().to_owned(), work.loaded.tested.side);
                self.test(&call, side, Some(home));
            }
            Ok(_) => "Two letters are a field as large as a country: give 4 characters or more."
                .clone_into(&mut self.home_wrong),
            Err(error) => {
                self.home_wrong = format!("\u{201c}{}\u{201d}: {error}. An example is JO20ab.", value.trim());
            }
        }
    }

    fn save_aside(&mut self) {
        let Some((readings, at, source)) = self.reading_shown() else { return };
        let Some(reading) = readings.get(at) else { return };
        let stem = reading.name.rsplit('/').next().unwrap_or("rows");
        let name = format!("set-aside-{stem}.txt");
        let bytes = aside_file(&source.bytes, reading);
        self.out.push(Patch::Save { name, media_type: "text/plain", bytes });
    }

    /// Corrections are to be kept in this browser, or not any more.
    fn keep_corrections(&mut self, value: &str) {
        if value == "yes" {
            self.keep_work("ask");
        } else {
            self.memory = Memory::default();
            self.keep();
        }
    }

    fn correct_role(&mut self, value: &str) {
        let Some((at, word)) = value.split_once(':') else { return };
        let (Ok(at), Some(role)) = (at.parse::<usize>(), Role::from_word(word)) else { return };
        self.correct(self.state.file, |wishes, reading| {
            let mut roles = wishes.roles.clone().unwrap_or_default();
            roles.resize(reading.columns.len().max(roles.len()), None);
            // two columns cannot mean the same: the other one gives way
            for (other, column) in reading.columns.iter().enumerate() {
                if column.role == role && role != Role::Ignore && other != at {
                    roles[other] = Some(Role::Ignore);
                }
            }
            if let Some(wish) = roles.get_mut(at) {
                *wish = Some(role);
            }
            wishes.roles = Some(roles);
        });
    }

    /// The columns are what they were taken for, although little speaks for it.
    fn accept_roles(&mut self) {
        self.correct(self.state.file, |wishes, reading| {
            wishes.roles = Some(reading.columns.iter().map(|column| Some(column.role)).collect());
        });
    }

    fn correct_decision(&mut self, act: &str, value: &str) {
        self.correct(self.state.file, |wishes, _| match act {
            "wish-delimiter" => wishes.delimiter = Delimiter::from_word(value),
            "wish-decimal" => wishes.decimal_mark = DecimalMark::from_word(value),
            "wish-encoding" => wishes.encoding = Encoding::from_word(value),
            "wish-dates" => wishes.date_order = DateOrder::from_word(value),
            "wish-frequency" => wishes.freq_unit = FreqUnit::from_word(value),
            "wish-power" => wishes.power_unit = PowerUnit::from_word(value),
            "wish-header" => {
                wishes.header = match value {
                    "none" => Some(HeaderWish::Absent),
                    line => line.parse().ok().map(HeaderWish::Line),
                }
            }
            "wish-report" => wishes.report = Report::from_word(value),
            "wish-zone" => wishes.utc_offset_s = value.parse::<i32>().ok().map(|minutes| minutes * 60),
            _ => {}
        });
    }

    /// Rows set aside for a reason are used all the same.
    fn use_aside(&mut self, value: &str) {
        let Some(reason) = Reason::from_word(value) else { return };
        self.correct(self.state.file, |wishes, _| {
            let used = wishes.use_set_aside.get_or_insert_default();
            if !used.contains(&reason) {
                used.push(reason);
            }
        });
    }

    /// The second-best reading is taken instead.
    fn take_runner_up(&mut self) {
        self.correct(self.state.file, |wishes, reading| {
            let Some(other) = &reading.runner_up else { return };
            let Wishes { roles, delimiter, date_order, .. } = other.wishes.clone();
            wishes.roles = roles.or(wishes.roles.take()).filter(|_| delimiter.is_none());
            wishes.delimiter = delimiter.or(wishes.delimiter);
            wishes.date_order = date_order.or(wishes.date_order);
        });
    }

    /// Acts on the filter.
    fn change_filter(&mut self, act: &str, value: &str, shift: bool) {
        let before = self.state.filter.clone();
        match act {
            "clear" => {
                self.state.filter =
                    Part::from_word(value).map_or_else(Filter::default, |part| part.without(&self.state.filter));
            }
            "band" => self.choose_band(value, shift),
            "distance" => {
                let limits = value.parse().map_or((None, None), class_limits);
                let filter = &mut self.state.filter;
                let same = (filter.min_km, filter.max_km) == limits;
                (filter.min_km, filter.max_km) = if same { (None, None) } else { limits };
            }
            "min-km" => self.state.filter.min_km = self.length(value),
            "max-km" => self.state.filter.max_km = self.length(value),
            "sector" => self.choose_sector(value, shift),
            "from-deg" | "to-deg" => self.choose_bearing(act, value),
            "snr" => {
                let least = number(value);
                let filter = &mut self.state.filter;
                filter.min_snr_db = if filter.min_snr_db == least { None } else { least };
                filter.max_snr_db = None;
            }
            "min-snr" => self.state.filter.min_snr_db = number(value),
            "max-snr" => self.state.filter.max_snr_db = number(value),
            "listener" => self.choose_listener(value),
            "doubt" => self.choose_doubt(value),
            "only" => {
                self.choose_only(value);
                self.show_view("spots");
            }
            "search" => value.clone_into(&mut self.state.search),
            "last" => {
                let from = self.work.as_ref().and_then(|work| last_from(&work.loaded, value.parse().ok()?));
                (self.state.filter.from, self.state.filter.to) = (from, None);
            }
            "from" | "to" => self.type_time(act, value),
            "from-min" | "to-min" => self.slide(act, value),
            _ => return,
        }
        if self.state.filter != before {
            self.filter_changed();
        }
    }

    fn length(&self, text: &str) -> Option<f64> {
        let value = number(text)?;
        Some(match self.state.length {
            Length::Km => value,
            Length::Miles => value * crate::units::KM_PER_MILE,
        })
        .filter(|&km| km > 0.0)
    }

    fn choose_band(&mut self, value: &str, shift: bool) {
        let (Some(band), Some(work)) = (Band::from_name(value), &self.work) else { return };
        let every = work.loaded.every_band();
        let filter = &mut self.state.filter;
        let mut bands = filter.bands.clone().unwrap_or_default();
        if shift && let Some(&anchor) = bands.iter().next() {
            let (low, high) = (anchor.min(band), anchor.max(band));
            bands = set(every.iter().copied().filter(|&other| low <= other && other <= high));
        } else if filter.bands.is_none() && self.state.menu != Some(Menu::Band) {
            // the legend shows all as on: the first press takes this one away
            bands = set(every.iter().copied().filter(|&other| other != band));
        } else if !bands.remove(&band) {
            bands.insert(band);
        }
        let all = bands.is_empty() || every.iter().all(|band| bands.contains(band));
        filter.bands = (!all).then_some(bands);
    }

    fn choose_sector(&mut self, value: &str, shift: bool) {
        let Ok(at) = value.parse::<u8>() else { return };
        let middle = f64::from(at) * 22.5;
        let sides = (middle - 11.25, middle + 11.25);
        let filter = &mut self.state.filter;
        filter.bearing = match filter.bearing {
            Some((from, _)) if shift => Some((from, sides.1)),
            Some(same) if same == sides => None,
            _ => Some(sides),
        };
    }

    fn choose_bearing(&mut self, act: &str, value: &str) {
        let typed = number(value);
        let filter = &mut self.state.filter;
        let Some(typed) = typed else {
            filter.bearing = None;
            return;
        };
        // one side alone means that half of the horizon
        let (from, to) =
            filter.bearing.unwrap_or(if act == "from-deg" { (typed, typed + 180.0) } else { (typed - 180.0, typed) });
        filter.bearing = Some(if act == "from-deg" { (typed, to) } else { (from, typed) });
    }

    fn choose_listener(&mut self, value: &str) {
        let Some(work) = &self.work else { return };
        let Some(call) = work.loaded.table.stations().find_call(value) else { return };
        let mut chosen = self.state.filter.listeners.take().unwrap_or_default();
        if !chosen.remove(&call) {
            chosen.insert(call);
        }
        self.state.filter.listeners = (!chosen.is_empty()).then_some(chosen);
    }

    /// Doubtful spots of one reason, or of all, are left out or brought back.
    fn choose_doubt(&mut self, value: &str) {
        let Some(work) = &self.work else { return };
        let without = &mut self.state.filter.without;
        if let Some(doubt) = Doubt::from_word(value) {
            if !without.remove(&doubt) {
                without.insert(doubt);
            }
        } else {
            let every = work.loaded.subject().doubts().reasons();
            *without = if *without == every { BTreeSet::new() } else { every };
        }
    }

    fn choose_only(&mut self, value: &str) {
        let Some(work) = &self.work else { return };
        let call = work.loaded.table.stations().find_call(value);
        self.state.filter.listeners = call.map(|call| set([call]));
    }

    /// A time was typed. Both ends are meant as shown: the last minute is still in.
    fn type_time(&mut self, act: &str, value: &str) {
        let Some(work) = &self.work else { return };
        let (old_from, old_to, _) = words::time_fields(&self.state, &work.loaded);
        let old = if act == "from" { old_from } else { old_to };
        if value.trim() == old {
            return;
        }
        let typed = value.trim();
        let Some(time) = self.state.clock.parse(typed) else {
            if typed.is_empty() {
                self.set_time(act, None);
            } else {
                self.time_wrong = format!("\u{201c}{typed}\u{201d} is no time. Write it like {old}.");
            }
            return;
        };
        self.set_time(act, if act == "from" { Some(time) } else { time.plus_s(60) });
    }

    fn set_time(&mut self, act: &str, time: Option<UtcTime>) {
        self.time_wrong.clear();
        let filter = &mut self.state.filter;
        if act == "from" { filter.from = time } else { filter.to = time }
    }

    /// A handle of the strip was moved to so many minutes after its beginning.
    fn slide(&mut self, act: &str, value: &str) {
        let Some(strip) = self.work.as_ref().and_then(|work| work.loaded.all.timeline.as_ref()) else { return };
        let Some(minutes) = number(value) else { return };
        let end = (strip.end().unix_s() - strip.start.unix_s()) / 60;
        #[expect(clippy::cast_possible_truncation, reason = "minutes within a span that fits")]
        let minutes = (minutes.round() as i64).clamp(0, end);
        let time = strip.start.plus_s(minutes * 60);
        let filter = &mut self.state.filter;
        if act == "from-min" {
            filter.from = time.filter(|_| minutes > 0).map(|time| filter.to.map_or(time, |to| time.min(to)));
        } else {
            filter.to = time.filter(|_| minutes < end).map(|time| filter.from.map_or(time, |from| time.max(from)));
        }
        self.time_wrong.clear();
    }
}
