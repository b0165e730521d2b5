//! On what it was measured.

use std::fs;
use std::path::Path;
use std::process::Command;
use std::thread;

/// Cores and processor, as the system names them.
pub(super) fn words() -> String {
    let cores = thread::available_parallelism().map_or(1, usize::from);
    let info = fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let name = processor(&info).unwrap_or("a processor that the system does not name");
    format!("{cores} cores, {name}")
}

/// The name of the first processor in the text of `/proc/cpuinfo`.
fn processor(info: &str) -> Option<&str> {
    let line = info.lines().find(|line| line.starts_with("model name"))?;
    line.split_once(':').map(|(_, name)| name.trim())
}

/// What a browser says of its own version.
pub(super) fn version(browser: &Path) -> Option<String> {
    let output = Command::new(browser).arg("--version").output().ok()?;
    let said = String::from_utf8_lossy(&output.stdout);
    // what the packager says of itself is left out
    let words: Vec<&str> = said.split_whitespace().take(2).collect();
    (!words.is_empty()).then(|| words.join(" "))
}

/// Memory of a process in kB.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Memory {
    /// What it holds now.
    pub now_kb: u64,
    /// The most that it ever held.
    pub peak_kb: u64,
}

/// Memory of the largest process that shows pages (a 'renderer') among those that a browser started.
/// A browser keeps a spare one ready, which holds less.
pub(super) fn largest_renderer(browser: u32) -> Option<Memory> {
    let entries = fs::read_dir("/proc").ok()?;
    let processes: Vec<u32> = entries.flatten().filter_map(|it| it.file_name().to_str()?.parse().ok()).collect();
    let shows_pages = |id: u32| {
        let line = fs::read(format!("/proc/{id}/cmdline")).unwrap_or_default();
        String::from_utf8_lossy(&line).contains("--type=renderer")
    };
    let own = processes.into_iter().filter(|&id| shows_pages(id) && descends(id, browser));
    let memories = own.filter_map(|id| memory(&fs::read_to_string(format!("/proc/{id}/status")).ok()?));
    memories.max_by_key(|memory| memory.now_kb)
}

/// Whether a process was started by another, through however many between.
fn descends(mut id: u32, ancestor: u32) -> bool {
    while id > 1 {
        if id == ancestor {
            return true;
        }
        let status = fs::read_to_string(format!("/proc/{id}/status")).unwrap_or_default();
        id = field(&status, "PPid:").and_then(|parent| u32::try_from(parent).ok()).unwrap_or(0);
    }
    false
}

/// From the text of `/proc/ID/status`.
fn memory(status: &str) -> Option<Memory> {
    Some(Memory { now_kb: field(status, "VmRSS:")?, peak_kb: field(status, "VmHWM:")? })
}

fn field(status: &str, name: &str) -> Option<u64> {
    let rest = status.lines().find_map(|line| line.strip_prefix(name))?;
    rest.split_whitespace().next()?.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    // Forms of both files: proc(5) of the Linux man-pages.
    #[test]
    fn the_systems_files_are_understood() {
        assert_eq!(processor("processor\t: 0\nmodel name\t: Some Processor @ 2 GHz\n"), Some("Some Processor @ 2 GHz"));
        assert_eq!(processor("processor\t: 0\n"), None);
        let status = "Name:\tx\nPPid:\t17\nVmHWM:\t    2048 kB\nVmRSS:\t    1024 kB\n";
        let memory = memory(status).unwrap();
        assert_eq!((memory.now_kb, memory.peak_kb, field(status, "PPid:")), (1024, 2048, Some(17)));
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn a_process_descends_from_its_parents_only() {
        let own = std::process::id();
        let parent = std::os::unix::process::parent_id();
        assert!(descends(own, own) && descends(own, parent));
        assert!(!descends(parent, own));
    }
}
