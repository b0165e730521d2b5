//! Files being read, step by step: so that the page shows how far it is, shows what there is so far, and can give up.

use super::archive::Archive;
use super::files::{Read, SourceFile, Work};
use super::history::Restored;
use super::loaded::Loaded;
use super::memory::Memory;
use super::message::{Origin, Patch};
use super::pictures::Kept;
use super::runs::Runs;
use super::session::Session;
use super::settings::Asked;
use super::state::State;
use super::views::frame::Words;
use crate::import::{Job, Reading, SoFar, Wishes};
use crate::model::TableBuilder;
use crate::share::work_file::WorkFile;
use crate::words::number::{NO_BREAK, count, decimals};

/// A picture of part of a file is worth its time from so many spots on.
const FIRST_PICTURE: usize = 1_000;
/// And while so many steps are left, each of about a twelfth of a second.
const MANY_STEPS: f64 = 32.0;
/// The next one comes when there are so many times more: all of them together cost less than the last one.
const GROWTH: usize = 4;

/// What is to become of the files once they are read.
#[derive(Debug)]
pub(super) enum Purpose {
    /// They came in.
    Fresh(Origin),
    /// What is loaded, with those that came second.
    Add,
    /// The same, to be compared: so many of the files were here before.
    Compare { old: usize },
    /// What is loaded, with one file read otherwise: by number of its reading, with how it was wished before
    /// if that can be brought back.
    Correct { reading: usize, before: Option<Wishes> },
    /// What is loaded, read as it was read at another step.
    Restore(Box<Restored>),
    /// They are those of a work file, or came again with the work they belong to.
    Opened(Box<WorkFile>, Origin),
}

/// Files being read.
#[derive(Debug)]
pub(super) struct Task {
    pub(super) files: Vec<SourceFile>,
    pub(super) purpose: Purpose,
    /// Names of files that are read as files with the same headings were corrected before.
    pub(super) recalled: Vec<String>,
    at: usize,
    job: Option<Job>,
    builder: TableBuilder,
    readings: Vec<Reading>,
    file_of: Vec<usize>,
    pictured: usize,
}

impl Task {
    pub(super) fn new(files: Vec<SourceFile>, purpose: Purpose) -> Self {
        Self {
            files,
            purpose,
            recalled: Vec::new(),
            at: 0,
            job: None,
            builder: TableBuilder::new(),
            readings: Vec::new(),
            file_of: Vec::new(),
            pictured: 0,
        }
    }

    /// Reads about so many bytes more. Is all read?
    fn step(&mut self, bytes: usize, memory: &Memory) -> bool {
        let Some(file) = self.files.get_mut(self.at) else { return true };
        let job = match &mut self.job {
            Some(job) => job,
            none => none.insert(Job::new(&file.name, file.bytes.clone(), file.wishes.clone())),
        };
        let done = job.step(bytes, &mut self.builder);
        if file.header.is_none() {
            file.header = job.header();
            // only the plan is made: nothing is lost by beginning again
            if let Some(wishes) = file.header.as_deref().and_then(|header| memory.recall(header)).filter(|_| !done)
                && file.wishes == Wishes::default()
                && !matches!(self.purpose, Purpose::Opened(..))
            {
                file.wishes = wishes.clone();
                self.recalled.push(file.name.clone());
                self.job = None;
                return false;
            }
        }
        if done && let Some(job) = self.job.take() {
            for reading in job.into_readings() {
                self.readings.push(reading);
                self.file_of.push(self.at);
            }
            self.at += 1;
        }
        self.at >= self.files.len()
    }

    fn finish(self) -> (Vec<SourceFile>, Read, Purpose, Vec<String>) {
        let Self { files, purpose, recalled, builder, readings, file_of, .. } = self;
        (files, Read { readings, file_of, table: builder.freeze() }, purpose, recalled)
    }

    /// Rows and spots of all files so far.
    fn so_far(&self) -> SoFar {
        self.job.as_ref().map(Job::so_far).unwrap_or_default().plus(SoFar::of(&self.readings))
    }

    /// How many bytes are still to be read.
    fn bytes_left(&self) -> f64 {
        let (done, all) = self.done();
        all - done
    }

    /// Bytes read, and all of them.
    fn done(&self) -> (f64, f64) {
        let mut done = 0.0;
        let mut all = 0.0;
        for (at, file) in self.files.iter().enumerate() {
            let size = file.bytes.len() as f64;
            // what is unpacked counts as many bytes as the packed file has
            let share = match (at.cmp(&self.at), &self.job) {
                (std::cmp::Ordering::Less, _) => 1.0,
                (std::cmp::Ordering::Equal, Some(job)) => {
                    let (read, of) = job.progress();
                    if of == 0 { 0.0 } else { read as f64 / of as f64 }
                }
                _ => 0.0,
            };
            done += size * share;
            all += size;
        }
        (done, all)
    }

    /// How far it is: words, and a share of 1.
    fn progress(&self) -> (String, f64) {
        let (done, all) = self.done();
        let rows = count(usize::try_from(self.so_far().rows).unwrap_or(usize::MAX));
        let share = if all > 0.0 { done / all } else { 0.0 };
        (format!("{rows} rows, {} of {}", megabytes(done, all), sized(all)), share)
    }
}

/// A number of bytes in the unit of the whole, without the unit.
fn megabytes(bytes: f64, of: f64) -> String {
    if of < 995e3 {
        decimals(bytes / 1e3, 0)
    } else if of < 9.95e6 {
        decimals(bytes / 1e6, 1)
    } else {
        decimals(bytes / 1e6, 0)
    }
}

fn sized(bytes: f64) -> String {
    format!("{}{NO_BREAK}{}", megabytes(bytes, bytes), if bytes < 995e3 { "kB" } else { "MB" })
}

/// What was shown before a partial picture took its place.
#[derive(Debug)]
pub(super) struct Former {
    work: Option<Work>,
    state: State,
    pictures: Kept,
    notice: Option<Words>,
    runs: Runs,
    /// Settings that waited for a first file.
    asked: Option<Asked>,
}

/// How a part of the files was looked at until the whole came.
#[derive(Debug)]
pub(super) struct Seen {
    pub(super) state: State,
    pub(super) pictures: Kept,
}

impl Session {
    /// Begins to read files; without a page that asks for step after step it is done at once.
    pub(super) fn begin(&mut self, files: Vec<SourceFile>, purpose: Purpose) {
        self.task = Some(Task::new(files, purpose));
        if self.stepwise {
            self.tell_progress();
        } else {
            while self.task.is_some() {
                self.read_on(usize::MAX);
            }
        }
    }

    /// Is something being read? Then what would read something else must wait.
    pub(super) fn is_busy(&mut self) -> bool {
        if self.task.is_some() {
            self.announce("Wait until the file is read, or cancel that first.".to_owned());
        }
        self.task.is_some()
    }

    /// Reads about so many bytes more.
    pub(super) fn read_on(&mut self, bytes: usize) {
        let Some(task) = &mut self.task else { return };
        if !task.step(bytes, &self.memory) {
            let left = task.bytes_left() / bytes as f64;
            if self.stepwise {
                if left > MANY_STEPS {
                    self.picture_so_far();
                }
                self.tell_progress();
            }
            return;
        }
        let Some(task) = self.task.take() else { return };
        let (files, read, purpose, recalled) = task.finish();
        let seen = self.leave_partial().map(|(seen, _)| seen);
        match purpose {
            Purpose::Fresh(origin) => self.show_fresh(files, read, origin, seen),
            Purpose::Add => self.show_joint(files, read),
            Purpose::Compare { old } => self.show_compared(files, read, old),
            Purpose::Correct { reading, before } => self.show_corrected(files, read, reading, before),
            Purpose::Restore(restored) => self.show_reread(files, read, &restored),
            Purpose::Opened(kept, origin) => self.show_opened(files, read, *kept, origin),
        }
        if !recalled.is_empty() && self.work.is_some() {
            self.say_recalled(&recalled);
        }
        self.tell_sieved();
    }

    /// A part of what is being read, for another worker, `own` bytes behind the one before: where it begins, and head and text
    /// for [`crate::import::read_ahead`], together at most `most` bytes.
    pub fn share(&mut self, own: usize, most: usize) -> Option<(usize, Vec<u8>, &[u8])> {
        self.task.as_mut()?.job.as_mut()?.share(own, most)
    }

    /// What another worker read of the part that begins at `from`; nothing if it could not.
    pub fn take_part(&mut self, from: usize, bytes: Vec<u8>) {
        if let Some(job) = self.task.as_mut().and_then(|task| task.job.as_mut()) {
            job.take(from, bytes);
        }
    }

    /// The part before whose return nothing is to be read.
    pub fn waits(&self) -> Option<usize> {
        self.task.as_ref()?.job.as_ref()?.waits()
    }

    /// Gives up what is being read: everything is as it was before.
    pub(super) fn give_up(&mut self) {
        self.incoming.clear();
        if self.asks_archive() {
            self.notice = None;
        }
        self.archive = Archive::default();
        self.task = None;
        if let Some((_, asked)) = self.leave_partial() {
            self.asked = asked;
            self.generation += 1;
        }
    }

    /// Puts back what a partial picture took the place of. Gives how that picture was looked at, and the settings that
    /// waited before it.
    fn leave_partial(&mut self) -> Option<(Seen, Option<Asked>)> {
        let Former { work, state, pictures, notice, runs, asked } = self.former.take()?;
        let seen = Seen { state: std::mem::replace(&mut self.state, state), pictures: self.pictures.keep() };
        self.work = work;
        self.notice = notice;
        self.runs = runs;
        self.pictures.bring_back(pictures);
        Some((seen, asked))
    }

    fn tell_progress(&mut self) {
        let Some(task) = &self.task else { return };
        let (words, share) = task.progress();
        self.out.push(Patch::Progress { words, share });
    }

    /// May what is read so far be shown? Only where nothing else would have to give way.
    fn may_picture(&self) -> bool {
        let free = self.work.as_ref().is_none_or(|work| work.sample || work.partial.is_some());
        let fresh = self.task.as_ref().is_none_or(|task| matches!(task.purpose, Purpose::Fresh(Origin::Person)));
        free && fresh && self.arrived.is_none()
    }

    /// Shows what is read so far, if it has grown enough.
    fn picture_so_far(&mut self) {
        if !self.may_picture() {
            return;
        }
        let Some(task) = &mut self.task else { return };
        let spots = task.builder.len();
        if spots < FIRST_PICTURE.max(task.pictured * GROWTH) {
            return;
        }
        task.pictured = spots;
        let so_far = task.so_far();
        let mut readings = task.readings.clone();
        if let Some(file) = task.files.get(task.at) {
            readings.push(Reading { name: file.name.clone(), ..Reading::default() });
        }
        let read = Read { readings, file_of: Vec::new(), table: task.builder.clone().freeze() };
        self.show_partial(read, so_far);
    }

    /// Shows the beginning of a large file while the rest still comes in.
    pub fn glimpse(&mut self, name: &str, beginning: &[u8]) -> Vec<Patch> {
        if self.task.is_none() && self.may_picture() && self.incoming.is_empty() {
            let end = memchr::memrchr(b'\n', beginning).map_or(0, |at| at + 1);
            let mut builder = TableBuilder::new();
            let lines = beginning.get(..end).unwrap_or_default();
            let readings = crate::import::read(name, lines, &Wishes::default(), &mut builder);
            if builder.len() >= FIRST_PICTURE {
                let so_far = SoFar::of(&readings);
                self.show_partial(Read { readings, file_of: Vec::new(), table: builder.freeze() }, so_far);
            }
        }
        self.whole_page()
    }

    fn show_partial(&mut self, read: Read, so_far: SoFar) {
        let Read { readings, file_of, table } = read;
        let Some(loaded) = Loaded::new(table, None, None) else { return };
        let single = Runs::single(&loaded);
        let work =
            Work { files: Vec::new(), readings, file_of, loaded, sample: false, home: None, partial: Some(so_far) };
        if self.former.is_none() {
            self.former = Some(Former {
                work: self.work.take(),
                state: self.state.clone(),
                pictures: self.pictures.keep(),
                notice: self.notice.take(),
                runs: self.runs.clone(),
                asked: self.asked.clone(),
            });
            let shade = self.state.shade;
            let asked = self.asked.take().unwrap_or_default();
            self.reset_view(&asked, shade);
            self.state.filter = asked.filter(&work.loaded.table);
            self.pictures.forget();
            self.pictures.kind = asked.kind;
        }
        // whether there are several runs shows only at the end
        self.runs = Runs::of_cards(single, self.runs.revision);
        self.work = Some(work);
        self.show_results();
    }
}
