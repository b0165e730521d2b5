//! What the command line asks for.
//!
//! Everything that can be judged without a file is judged here, so that a wrong option ends with a message
//! and exit status 2 before anything is read.

use std::ffi::OsString;
use std::fmt;
use std::path::PathBuf;

use farheard::model::{Band, Side};
use farheard::study::runs::Rule;
use farheard::time::UtcTime;
use lexopt::prelude::*;

/// Shown with every wrong command line.
pub(crate) const USAGE: &str = "\
cargo run [-- --no-open]             builds the page into dist/ and opens it
cargo run -- readout FILE... [options]
  --json                 print JSON and nothing else
  --list                 with --json: every spot as well
  --station CALL         whose antenna is tested
  --side sends|hears     the tested antenna transmits (default) or receives
  --run 'NAME: RULE'     which spots belong to a run; repeatable. RULE: file=NAME call=CALL power=DBM
                         from=TIME to=TIME days=DATE,DATE minutes=M,M hz=LOW..HIGH locator=PREFIX
  --true-power 'NAME: DBM'   the power really sent in a run
  --loss 'NAME: DB'      feeder loss of a run
  --compare 'A, B'       how far run B is above run A
  --control CALL         a beacon whose antenna did not change
  --bands 20m,40m        these bands only
  --from TIME --to TIME  this time only (UTC, 2031-04-27T06:30Z; the end is left out)
  --min-km KM --max-km KM    these distances only
  --bearing LOW..HIGH    these bearings only, in degrees clockwise from north; 350..10 spans north
cargo run --release -- calibrate [--trials N] [--seed S] [--json]
                         simulates antenna tests with a known answer, at least N band results per design
                         (500 by default), and says how often compare gets them right
cargo run --release -- measure [--rows N] [--json] [--markdown]
                         times reading of files of up to N rows (a million by default, ten at most), comparing and
                         the page, beside yardsticks; a table, in Markdown or as JSON if you like";

/// One of the program's commands.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Command {
    /// Build the page.
    Build(BuildOptions),
    /// Read spot files.
    Readout(Box<ReadoutOptions>),
    /// Simulate tests with a known answer.
    Calibrate(CalibrateOptions),
    /// Time reading and comparing.
    Measure(MeasureOptions),
    /// Say what can be asked.
    Help,
}

/// Options of the build.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct BuildOptions {
    /// Whether the page is opened when it is built.
    pub opening: Opening,
}

/// Whether the page is opened when it is built.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Opening {
    /// Where there is a display.
    IfDisplay,
    /// Never.
    Never,
}

/// Options of `calibrate`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct CalibrateOptions {
    /// Least number of band results per design.
    pub trials: usize,
    /// Seed of the simulation.
    pub seed: u64,
    /// Text or JSON.
    pub form: Form,
}

/// Options of `measure`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct MeasureOptions {
    /// Rows of the largest file to read.
    pub rows: usize,
    /// How the figures are written.
    pub form: TableForm,
}

/// The form of a table of figures.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(crate) enum TableForm {
    /// Columns under each other.
    #[default]
    Text,
    /// A table in Markdown, as the README has it.
    Markdown,
    /// JSON, nothing else on standard output.
    Json,
}

/// Rows of the largest file that `measure` reads unless told otherwise: what the page is built for.
const USUAL_ROWS: usize = 1_000_000;
/// Most rows that it takes: the page reads no file over 1 GB.
const MOST_ROWS: usize = 10_000_000;

/// Options of `readout`.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct ReadoutOptions {
    /// The files, in the order given; at least one.
    pub files: Vec<PathBuf>,
    /// Text or JSON.
    pub form: Form,
    /// Whether the JSON lists every spot.
    pub list: bool,
    /// The call whose antenna is tested; chosen from the data if not given.
    pub station: Option<String>,
    /// What the tested antenna does.
    pub side: Option<Side>,
    /// Runs, in the order given: name and rule.
    pub runs: Vec<Named<Rule>>,
    /// The power really sent in a run, dBm.
    pub true_powers_dbm: Vec<Named<f64>>,
    /// Feeder loss of a run, dB.
    pub losses_db: Vec<Named<f64>>,
    /// The two runs to compare: how far the second is above the first.
    pub compare: Option<Pair>,
    /// The call of a beacon whose antenna did not change.
    pub control: Option<String>,
    /// What is left in.
    pub filter: FilterOptions,
}

/// The form of the readout.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(crate) enum Form {
    /// Sentences and tables for people.
    #[default]
    Text,
    /// JSON, nothing else on standard output.
    Json,
}

/// Something said of a run.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Named<T> {
    /// The run's name.
    pub name: String,
    /// What is said.
    pub value: T,
}

/// The names of two runs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Pair {
    /// The run compared with.
    pub a: String,
    /// The run that may be above it.
    pub b: String,
}

/// Which spots are left in; everything where nothing is said.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct FilterOptions {
    /// These bands; all if empty.
    pub bands: Vec<Band>,
    /// From this instant.
    pub from: Option<UtcTime>,
    /// Up to this instant, which is left out.
    pub to: Option<UtcTime>,
    /// From this distance, km.
    pub min_km: Option<f64>,
    /// Up to this distance, km.
    pub max_km: Option<f64>,
    /// In this sector.
    pub bearing: Option<BearingRange>,
}

/// A sector, degrees clockwise from true north, from `low_deg` on clockwise to `high_deg`; it may span north.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct BearingRange {
    /// Where it begins, 0 to 360.
    pub low_deg: f64,
    /// Where it ends, 0 to 360.
    pub high_deg: f64,
}

/// A wrong command line, in a sentence.
#[derive(Debug)]
pub(crate) struct UsageError(String);

impl fmt::Display for UsageError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for UsageError {}

impl From<lexopt::Error> for UsageError {
    fn from(error: lexopt::Error) -> Self {
        Self(error.to_string())
    }
}

type Parsed<T> = Result<T, UsageError>;

/// Reads a command line.
///
/// # Errors
/// If it is none of [`USAGE`]; the sentence names the option and what it takes.
pub(crate) fn parse(mut parser: lexopt::Parser) -> Parsed<Command> {
    let mut opening = Opening::IfDisplay;
    while let Some(argument) = parser.next()? {
        match argument {
            Long("no-open") => opening = Opening::Never,
            Long("help") | Short('h') => return Ok(Command::Help),
            Value(command) if opening == Opening::IfDisplay => return parse_command(&command, parser),
            other => return Err(other.unexpected().into()),
        }
    }
    Ok(Command::Build(BuildOptions { opening }))
}

fn parse_command(command: &OsString, parser: lexopt::Parser) -> Parsed<Command> {
    match command.to_str() {
        Some("readout") => parse_readout(parser),
        Some("calibrate") => parse_calibrate(parser),
        Some("measure") => parse_measure(parser),
        _ => Err(UsageError(format!(
            "there is no command {}; the commands are: readout, calibrate, measure",
            command.display()
        ))),
    }
}

fn parse_calibrate(mut parser: lexopt::Parser) -> Parsed<Command> {
    let mut options = CalibrateOptions { trials: 500, seed: 1, form: Form::Text };
    while let Some(argument) = parser.next()? {
        match argument {
            Long("json") => options.form = Form::Json,
            Long("trials") => options.trials = parse_whole("trials", &parser.value()?.string()?)?,
            Long("seed") => options.seed = parse_whole("seed", &parser.value()?.string()?)?,
            Long("help") | Short('h') => return Ok(Command::Help),
            other => return Err(other.unexpected().into()),
        }
    }
    if options.trials == 0 {
        return Err(UsageError("--trials takes at least 1".to_owned()));
    }
    Ok(Command::Calibrate(options))
}

fn parse_measure(mut parser: lexopt::Parser) -> Parsed<Command> {
    let mut options = MeasureOptions { rows: USUAL_ROWS, form: TableForm::Text };
    while let Some(argument) = parser.next()? {
        match argument {
            Long("json") => options.form = TableForm::Json,
            Long("markdown") => options.form = TableForm::Markdown,
            Long("rows") => options.rows = parse_whole("rows", &parser.value()?.string()?)?,
            Long("help") | Short('h') => return Ok(Command::Help),
            other => return Err(other.unexpected().into()),
        }
    }
    if !(1..=MOST_ROWS).contains(&options.rows) {
        return Err(UsageError(format!("--rows takes 1 to {MOST_ROWS}")));
    }
    Ok(Command::Measure(options))
}

fn parse_whole<T: std::str::FromStr>(option: &str, text: &str) -> Parsed<T> {
    text.parse().map_err(|_| UsageError(format!("--{option} is \"{text}\"; it takes a whole number")))
}

fn parse_readout(mut parser: lexopt::Parser) -> Parsed<Command> {
    let mut options = ReadoutOptions::default();
    let mut given: Vec<String> = Vec::new();
    let mut pair = None;
    while let Some(argument) = parser.next()? {
        match argument {
            Value(file) => options.files.push(file.into()),
            Long("help") | Short('h') => return Ok(Command::Help),
            Long("json") => options.form = Form::Json,
            Long("list") => options.list = true,
            Long(name) => {
                let name = name.to_owned();
                if given.contains(&name) && !["run", "true-power", "loss"].contains(&name.as_str()) {
                    return Err(UsageError(format!("--{name} is given twice")));
                }
                given.push(name.clone());
                if name == "compare" {
                    pair = Some(value_of(&name, &mut parser)?);
                    continue;
                }
                set_value(&mut options, &name, &mut parser)?;
            }
            Short(_) => return Err(argument.unexpected().into()),
        }
    }
    if options.files.is_empty() {
        return Err(UsageError("readout needs at least one file".to_owned()));
    }
    options.compare = pair.map(|text| parse_pair(&text, &options.runs)).transpose()?;
    check_runs(&options)?;
    check_ranges(&options.filter)?;
    Ok(Command::Readout(Box::new(options)))
}

/// What stands behind the option `--name`.
fn value_of(name: &str, parser: &mut lexopt::Parser) -> Parsed<String> {
    let value = parser.value()?.string()?;
    let value = value.trim();
    if value.is_empty() { Err(UsageError(format!("--{name} is empty"))) } else { Ok(value.to_owned()) }
}

/// Sets the option `--name`, which takes a value.
fn set_value(options: &mut ReadoutOptions, name: &str, parser: &mut lexopt::Parser) -> Parsed<()> {
    let mut text = || value_of(name, parser);
    let filter = &mut options.filter;
    match name {
        "station" => options.station = Some(text()?),
        "side" => options.side = Some(parse_side(&text()?)?),
        "run" => {
            let Named { name, value } = parse_named(name, &text()?)?;
            let rule = Rule::parse(&value).map_err(|error| UsageError(format!("--run {name}: {error}")))?;
            if let (Some(from), Some(to)) = (rule.from, rule.to)
                && from >= to
            {
                return Err(UsageError(format!("--run {name}: from={} is not before to={}", from.iso(), to.iso())));
            }
            options.runs.push(Named { name, value: rule });
        }
        "true-power" => options.true_powers_dbm.push(parse_named_number(name, &text()?)?),
        "loss" => options.losses_db.push(parse_named_number(name, &text()?)?),
        "control" => options.control = Some(text()?),
        "bands" => filter.bands = parse_bands(&text()?)?,
        "from" => filter.from = Some(parse_time(name, &text()?)?),
        "to" => filter.to = Some(parse_time(name, &text()?)?),
        "min-km" => filter.min_km = Some(parse_km(name, &text()?)?),
        "max-km" => filter.max_km = Some(parse_km(name, &text()?)?),
        "bearing" => filter.bearing = Some(parse_bearing(&text()?)?),
        _ => return Err(UsageError(format!("there is no option --{name}"))),
    }
    Ok(())
}

/// Refuses a run named twice, names that no `--run` gave, and a control that is tested itself.
fn check_runs(options: &ReadoutOptions) -> Parsed<()> {
    for (index, run) in options.runs.iter().enumerate() {
        if options.runs.iter().take(index).any(|earlier| earlier.name == run.name) {
            return Err(UsageError(format!("there are two runs named \"{}\"", run.name)));
        }
    }
    let named = |option: &str, name: &str| {
        if options.runs.iter().any(|run| run.name == name) {
            return Ok(());
        }
        Err(UsageError(format!("--{option} names \"{name}\", but no --run gives a rule for it")))
    };
    let is_tested = |call: &String| {
        let of_runs = options.runs.iter().filter_map(|run| run.value.call.as_ref());
        options.station.iter().chain(of_runs).any(|own| own.eq_ignore_ascii_case(call))
    };
    if let Some(control) = options.control.as_ref().filter(|call| is_tested(call)) {
        return Err(UsageError(format!("--control {control} is the tested station; a control is a beacon of its own")));
    }
    for power in &options.true_powers_dbm {
        named("true-power", &power.name)?;
    }
    for loss in &options.losses_db {
        named("loss", &loss.name)?;
    }
    if let Some(pair) = &options.compare {
        named("compare", &pair.a)?;
        named("compare", &pair.b)?;
    }
    Ok(())
}

/// Refuses a range that nothing can lie in.
fn check_ranges(filter: &FilterOptions) -> Parsed<()> {
    if let (Some(from), Some(to)) = (filter.from, filter.to)
        && from >= to
    {
        return Err(UsageError(format!("--from {} is not before --to {}", from.iso(), to.iso())));
    }
    if let (Some(min), Some(max)) = (filter.min_km, filter.max_km)
        && min > max
    {
        return Err(UsageError(format!("--min-km {min} is above --max-km {max}")));
    }
    Ok(())
}

fn parse_side(text: &str) -> Parsed<Side> {
    match text {
        "sends" => Ok(Side::Sends),
        "hears" => Ok(Side::Hears),
        _ => Err(UsageError(format!("--side is \"{text}\"; it takes sends or hears"))),
    }
}

/// `NAME: VALUE`; the first colon parts them, since times in a rule have colons too.
fn parse_named(option: &str, text: &str) -> Parsed<Named<String>> {
    let parted = text.split_once(':').map(|(name, value)| (name.trim(), value.trim()));
    match parted {
        Some((name, value)) if !name.is_empty() && !value.is_empty() => {
            Ok(Named { name: name.to_owned(), value: value.to_owned() })
        }
        _ => Err(UsageError(format!("--{option} is \"{text}\"; it takes a run's name, a colon and a value"))),
    }
}

fn parse_named_number(option: &str, text: &str) -> Parsed<Named<f64>> {
    let Named { name, value } = parse_named(option, text)?;
    Ok(Named { name, value: parse_number(option, &value)? })
}

fn parse_number(option: &str, text: &str) -> Parsed<f64> {
    match text.parse::<f64>() {
        Ok(number) if number.is_finite() => Ok(number),
        _ => Err(UsageError(format!("--{option}: \"{text}\" is not a number"))),
    }
}

/// Names may have commas of their own: of the ways to part the two, the one that names runs is meant, else the first.
fn parse_pair(text: &str, runs: &[Named<Rule>]) -> Parsed<Pair> {
    let is_run = |name: &str| runs.iter().any(|run| run.name == name);
    let parted = |at: usize| Some((text.get(..at)?.trim(), text.get(at + 1..)?.trim()));
    let ways = || {
        let ways = text.match_indices(',').filter_map(|(at, _)| parted(at));
        ways.filter(|(a, b)| !a.is_empty() && !b.is_empty() && a != b)
    };
    match ways().find(|&(a, b)| is_run(a) && is_run(b)).or_else(|| ways().next()) {
        Some((a, b)) => Ok(Pair { a: a.to_owned(), b: b.to_owned() }),
        None => {
            Err(UsageError(format!("--compare is \"{text}\"; it takes the names of two runs with a comma between")))
        }
    }
}

fn parse_bands(text: &str) -> Parsed<Vec<Band>> {
    text.split(',')
        .map(|name| {
            let name = name.trim();
            Band::from_name(name)
                .ok_or_else(|| UsageError(format!("--bands: \"{name}\" is no band; bands are written like 20m")))
        })
        .collect()
}

fn parse_time(option: &str, text: &str) -> Parsed<UtcTime> {
    UtcTime::parse_iso(text)
        .ok_or_else(|| UsageError(format!("--{option} is \"{text}\"; it takes a UTC time like 2031-04-27T06:30Z")))
}

fn parse_km(option: &str, text: &str) -> Parsed<f64> {
    let km = parse_number(option, text)?;
    if km < 0.0 { Err(UsageError(format!("--{option} is {km}; a distance is never negative"))) } else { Ok(km) }
}

fn parse_bearing(text: &str) -> Parsed<BearingRange> {
    let edges = text.split_once("..").and_then(|(low, high)| {
        let edge = |text: &str| {
            let text = text.trim();
            let whole = !text.starts_with('.') && !text.ends_with('.');
            text.parse::<f64>().ok().filter(|deg| whole && (0.0..=360.0).contains(deg))
        };
        Some(BearingRange { low_deg: edge(low)?, high_deg: edge(high)? })
    });
    edges.ok_or_else(|| UsageError(format!("--bearing is \"{text}\"; it takes LOW..HIGH in degrees, 0 to 360")))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parsed(arguments: &[&str]) -> Parsed<Command> {
        parse(lexopt::Parser::from_args(arguments))
    }

    fn readout(arguments: &[&str]) -> ReadoutOptions {
        match parsed(&[&["readout"], arguments].concat()).unwrap() {
            Command::Readout(options) => *options,
            other => panic!("{other:?}"),
        }
    }

    fn refusal(arguments: &[&str]) -> String {
        parsed(arguments).unwrap_err().to_string()
    }

    #[test]
    fn without_a_command_the_page_is_built() {
        assert_eq!(parsed(&[]).unwrap(), Command::Build(BuildOptions { opening: Opening::IfDisplay }));
        assert_eq!(parsed(&["--no-open"]).unwrap(), Command::Build(BuildOptions { opening: Opening::Never }));
    }

    #[test]
    fn a_readout_takes_every_option() {
        let options = readout(&[
            "a.csv",
            "--json",
            "--list",
            "--station=Q1ABC",
            "--side",
            "hears",
            "--run",
            "Low loop: power=23 from=2031-04-27T06:30Z",
            "--run",
            "Doublet: power=20",
            "--true-power",
            "Doublet: 23.5",
            "--loss",
            "Low loop: 1.5",
            "--compare",
            "Low loop, Doublet",
            "--control",
            "Q2XYZ",
            "--bands",
            "20m, 40M",
            "--from",
            "2031-04-27",
            "--to",
            "2031-04-28",
            "--min-km",
            "500",
            "--max-km",
            "20000",
            "--bearing",
            "350..10",
            "b.csv",
        ]);
        assert_eq!(options.files, [PathBuf::from("a.csv"), PathBuf::from("b.csv")]);
        assert_eq!((options.form, options.list, options.side), (Form::Json, true, Some(Side::Hears)));
        assert_eq!(options.runs[0].name, "Low loop");
        assert_eq!(options.runs[0].value, Rule::parse("power=23 from=2031-04-27T06:30Z").unwrap());
        assert_eq!(options.true_powers_dbm, [Named { name: "Doublet".to_owned(), value: 23.5 }]);
        assert_eq!(options.losses_db, [Named { name: "Low loop".to_owned(), value: 1.5 }]);
        assert_eq!(options.compare, Some(Pair { a: "Low loop".to_owned(), b: "Doublet".to_owned() }));
        assert_eq!(options.control.as_deref(), Some("Q2XYZ"));
        assert_eq!(options.filter.bands, [Band::from_name("20m").unwrap(), Band::from_name("40m").unwrap()]);
        assert_eq!(options.filter.to.unwrap().iso(), "2031-04-28T00:00:00Z");
        assert_eq!((options.filter.min_km, options.filter.max_km), (Some(500.0), Some(20_000.0)));
        assert_eq!(options.filter.bearing, Some(BearingRange { low_deg: 350.0, high_deg: 10.0 }));
    }

    #[test]
    fn what_would_be_taken_otherwise_than_meant_is_refused() {
        let run = ["readout", "a.csv", "--run", "A: power=23", "--run", "B: power=20"];
        let told = |more: &[&str]| refusal(&[&run[..], more].concat());
        assert!(told(&["--control", "Q1ABC", "--control", "Q2XYZ"]).contains("given twice"));
        assert!(told(&["--control", "q1abc", "--station", "Q1ABC"]).contains("is the tested station"));
        assert!(told(&["--bearing", "10...20"]).contains("LOW..HIGH"));
        assert!(told(&["--run", "C: power=23 power=20"]).contains("stands twice"));
        assert!(told(&["--run", "C: call="]).contains("has no value behind it"));
        assert!(told(&["--run", "C: from=2031-04-28 to=2031-04-27"]).contains("is not before"));
        assert!(told(&["--from", "2031-04-26ZZ"]).contains("UTC time"));
    }

    #[test]
    fn names_of_runs_may_have_commas_and_files_blanks() {
        let options =
            readout(&["a.csv", "--run", "A,low: file=two  blanks.csv", "--run", "B: power=20", "--compare", "A,low,B"]);
        assert_eq!(options.compare, Some(Pair { a: "A,low".to_owned(), b: "B".to_owned() }));
        assert_eq!(options.runs[0].value.file.as_deref(), Some("two  blanks.csv"));
    }

    #[test]
    fn measuring_takes_rows_and_a_form() {
        let usual = MeasureOptions { rows: 1_000_000, form: TableForm::Text };
        assert_eq!(parsed(&["measure"]).unwrap(), Command::Measure(usual));
        let asked = parsed(&["measure", "--rows", "10000000", "--markdown"]).unwrap();
        assert_eq!(asked, Command::Measure(MeasureOptions { rows: 10_000_000, form: TableForm::Markdown }));
        assert_eq!(
            parsed(&["measure", "--json"]).unwrap(),
            Command::Measure(MeasureOptions { form: TableForm::Json, ..usual })
        );
    }

    #[test]
    fn wrong_options_are_named_with_what_they_take() {
        for (arguments, said) in [
            (&["guess"][..], "no command guess; the commands are: readout, calibrate, measure"),
            (&["readout"], "at least one file"),
            (&["readout", "a.csv", "--colour", "red"], "no option --colour"),
            (&["readout", "a.csv", "--side", "both"], "takes sends or hears"),
            (&["readout", "a.csv", "--run", "A power=3"], "a colon and a value"),
            (&["readout", "a.csv", "--run", "A: power=3", "--run", "A: power=4"], "two runs named \"A\""),
            (&["readout", "a.csv", "--run", "A: powr=3"], "powr=3"),
            (&["readout", "a.csv", "--loss", "A: 1"], "no --run gives a rule"),
            (&["readout", "a.csv", "--run", "A: power=3", "--loss", "A: much"], "\"much\" is not a number"),
            (&["readout", "a.csv", "--compare", "A"], "two runs with a comma"),
            (&["readout", "a.csv", "--bands", "20m,eleven"], "\"eleven\" is no band"),
            (&["readout", "a.csv", "--from", "yesterday"], "2031-04-27T06:30Z"),
            (&["readout", "a.csv", "--from", "2031-04-28", "--to", "2031-04-27"], "is not before"),
            (&["readout", "a.csv", "--min-km", "-5"], "never negative"),
            (&["readout", "a.csv", "--min-km", "9", "--max-km", "8"], "is above"),
            (&["readout", "a.csv", "--bearing", "10-20"], "LOW..HIGH"),
            (&["readout", "a.csv", "--bearing", "10..400"], "LOW..HIGH"),
            (&["readout", "a.csv", "--station", " "], "is empty"),
            (&["readout", "a.csv", "--station"], "--station"),
            (&["--no-open", "readout"], "readout"),
            (&["calibrate", "--trials", "many"], "whole number"),
            (&["calibrate", "--trials", "0"], "at least 1"),
            (&["measure", "--rows", "few"], "whole number"),
            (&["measure", "--rows", "0"], "1 to 10000000"),
        ] {
            let refused = refusal(arguments);
            assert!(refused.contains(said), "{arguments:?} said: {refused}");
        }
    }
}
