//! One browser: chromedriver on a port of its own, Chromium with a fresh profile.

use std::env;
use std::future::Future;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use serde_json::{Value, json};
use thirtyfour::BrowserCapabilitiesHelper;
use thirtyfour::LoggingPrefsLogLevel;
use thirtyfour::error::WebDriverResult;
use thirtyfour::{ChromiumLikeCapabilities, DesiredCapabilities, WebDriver};
use tokio::runtime::Runtime;

use super::Scratch;

/// Nothing a page does in a test takes longer.
const LONGEST_COMMAND: Duration = Duration::from_secs(60);

/// What headless Chromium needs on a machine without display, also as root; and what keeps it from talking to its
/// maker. The last flag leaves this machine's own address as the only one that exists.
const FLAGS: [&str; 13] = [
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-default-apps",
    "--force-device-scale-factor=1",
    "--lang=en-GB",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
];

/// Preferences of a person whose browser lets no page keep anything: 2 is 'block'.
pub(crate) fn storage_refused() -> Value {
    json!({ "profile.default_content_setting_values.cookies": 2 })
}

/// A browser, ended with its driver and profile when it goes out of scope.
#[derive(Debug)]
pub(crate) struct Browser {
    runtime: Runtime,
    driver: Option<WebDriver>,
    process: Child,
    profile: Scratch,
}

impl Browser {
    /// Starts one, 1440 by 900.
    pub(crate) fn start() -> Self {
        Self::start_with(&json!({}))
    }

    /// Starts one that knows only the fonts of a configuration for fontconfig, with preferences of Chromium's own.
    pub(crate) fn start_with_fonts(fonts: &Path, preferences: &Value) -> Self {
        Self::start_as(preferences, Some(fonts))
    }

    /// Starts one with preferences of Chromium's own, such as [`storage_refused`].
    pub(crate) fn start_with(preferences: &Value) -> Self {
        Self::start_as(preferences, None)
    }

    fn start_as(preferences: &Value, fonts: Option<&Path>) -> Self {
        let (process, port) = start_driver(fonts);
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .expect("a runtime for the driver's client can be made");
        let mut browser = Self { runtime, driver: None, process, profile: Scratch::new() };
        let driver = browser.run("starting Chromium", async {
            let mut wishes = DesiredCapabilities::chrome();
            for flag in FLAGS {
                wishes.add_arg(flag)?;
            }
            wishes.add_arg(&format!("--user-data-dir={}", browser.profile.path().display()))?;
            wishes.add_arg("--window-size=1440,900")?;
            wishes.set_browser_option("prefs", preferences)?;
            wishes.set_logging_prefs("browser", LoggingPrefsLogLevel::All)?;
            wishes.set_logging_prefs("performance", LoggingPrefsLogLevel::All)?;
            WebDriver::new(format!("http://127.0.0.1:{port}"), wishes).await
        });
        browser.driver = Some(driver);
        browser
    }

    /// The WebDriver session.
    pub(crate) fn driver(&self) -> &WebDriver {
        self.driver.as_ref().expect("the session lasts as long as the browser")
    }

    /// Waits for a command, and ends the test with a sentence where it fails.
    pub(crate) fn run<T>(&self, doing: &str, command: impl Future<Output = WebDriverResult<T>>) -> T {
        let done = self.runtime.block_on(async { tokio::time::timeout(LONGEST_COMMAND, command).await });
        let done = done.unwrap_or_else(|_| panic!("{doing}: took longer than {} s", LONGEST_COMMAND.as_secs()));
        done.unwrap_or_else(|error| panic!("{doing}: {error}"))
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        if let Some(driver) = self.driver.take() {
            // Ends Chromium. A session that is gone already is as good.
            drop(self.runtime.block_on(async { tokio::time::timeout(Duration::from_secs(10), driver.quit()).await }));
        }
        drop(self.process.kill());
        drop(self.process.wait());
    }
}

/// Starts chromedriver, which chooses a free port and names it. Where several start at once the port it chose may be
/// taken before it listens, and it ends: then it is started anew.
fn start_driver(fonts: Option<&Path>) -> (Child, u16) {
    let started = (0..5).find_map(|_| try_driver(fonts));
    started.expect("chromedriver ended five times without naming its port")
}

fn try_driver(fonts: Option<&Path>) -> Option<(Child, u16)> {
    let program = env::var_os("CHROMEDRIVER").unwrap_or_else(|| "chromedriver".into());
    let mut command = Command::new(&program);
    if let Some(fonts) = fonts {
        command.env("FONTCONFIG_FILE", fonts);
    }
    let mut process = command
        .arg("--port=0")
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap_or_else(|error| {
            panic!(
                "{} could not be started ({error}). The tests of the page need Chromium and its driver: \
                 ./tests/run installs them (on Debian: apt-get install chromium chromium-driver)",
                program.display()
            )
        });
    let output = process.stdout.take().expect("the output is piped");
    let port = BufReader::new(output)
        .lines()
        .map_while(Result::ok)
        .find_map(|line| line.split_once("successfully on port ")?.1.trim_end_matches('.').parse().ok());
    if port.is_none() {
        drop(process.kill());
        drop(process.wait());
    }
    Some((process, port?))
}
