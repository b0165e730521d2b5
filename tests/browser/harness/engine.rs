//! The three engines: how each is started without a screen, with the rules that its users have.

use std::env;
use std::io::{BufRead, BufReader};
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use super::Proxy;
use serde_json::{Value, json};
use thirtyfour::error::WebDriverResult;
use thirtyfour::{BrowserCapabilitiesHelper, Capabilities, ChromiumLikeCapabilities};
use thirtyfour::{DesiredCapabilities, LoggingPrefsLogLevel};

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

/// Where Debian has the small browser that `WebKitWebDriver` drives.
const SMALL_BROWSER: &str = "/usr/lib/x86_64-linux-gnu/webkit2gtk-4.1/MiniBrowser";

/// How long a driver may take until it listens.
const PATIENCE: Duration = Duration::from_secs(20);

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Engine {
    Chromium,
    Firefox,
    WebKit,
}

/// Makes a test of each engine out of a function that takes an engine. `tests/run` makes its table of engines from the
/// results of these: a row for each function.
macro_rules! in_every_engine {
    ($($test:ident),+ $(,)?) => {$(
        mod $test {
            use crate::harness::Engine;

            #[test]
            fn chromium() {
                super::$test(Engine::Chromium);
            }

            #[test]
            fn firefox() {
                super::$test(Engine::Firefox);
            }

            #[test]
            fn webkit() {
                super::$test(Engine::WebKit);
            }
        }
    )+};
}
pub(crate) use in_every_engine;

impl Engine {
    /// Where its driver is, unless the environment says otherwise.
    fn program(self) -> std::ffi::OsString {
        let (variable, name) = match self {
            Self::Chromium => ("CHROMEDRIVER", "chromedriver"),
            Self::Firefox => ("GECKODRIVER", "geckodriver"),
            Self::WebKit => ("WEBKITDRIVER", "WebKitWebDriver"),
        };
        env::var_os(variable).unwrap_or_else(|| name.into())
    }

    /// What is asked of a session.
    ///
    /// Drivers relax what Firefox allows pages from a disk; both preferences are set back to what its users have.
    pub(crate) fn wishes(
        self,
        profile: &Path,
        preferences: &Value,
        proxy: Option<&Proxy>,
    ) -> WebDriverResult<Capabilities> {
        let mut wishes = self.own_wishes(profile, preferences)?;
        if let Some(proxy) = proxy {
            let address = proxy.address();
            wishes.set("proxy", json!({ "proxyType": "manual", "httpProxy": address, "sslProxy": address }))?;
        }
        Ok(wishes)
    }

    fn own_wishes(self, profile: &Path, preferences: &Value) -> WebDriverResult<Capabilities> {
        match self {
            Self::Chromium => {
                let mut wishes = DesiredCapabilities::chrome();
                for flag in FLAGS {
                    wishes.add_arg(flag)?;
                }
                wishes.add_arg(&format!("--user-data-dir={}", profile.display()))?;
                wishes.add_arg("--window-size=1440,900")?;
                // a proxy, if there is one, gets requests to this machine too
                wishes.add_arg("--proxy-bypass-list=<-loopback>")?;
                wishes.set_browser_option("prefs", preferences)?;
                wishes.set_logging_prefs("browser", LoggingPrefsLogLevel::All)?;
                wishes.set_logging_prefs("performance", LoggingPrefsLogLevel::All)?;
                Ok(wishes.into())
            }
            Self::Firefox => {
                let mut set = json!({
                    "security.fileuri.strict_origin_policy": true,
                    "privacy.file_unique_origin": true,
                    "network.proxy.allow_hijacking_localhost": true,
                    "intl.accept_languages": "en-GB",
                });
                for (name, value) in preferences.as_object().into_iter().flatten() {
                    set[name] = value.clone();
                }
                let mut wishes = Capabilities::new();
                wishes.set("browserName", "firefox")?;
                let options = json!({ "args": ["-headless", "--width=1440", "--height=900"], "prefs": set });
                wishes.set("moz:firefoxOptions", options)?;
                Ok(wishes)
            }
            Self::WebKit => {
                let mut wishes = Capabilities::new();
                wishes.set("browserName", "MiniBrowser")?;
                let options = json!({ "binary": SMALL_BROWSER, "args": ["--automation"] });
                wishes.set("webkitgtk:browserOptions", options)?;
                Ok(wishes)
            }
        }
    }

    /// Starts its driver. One that ends before it listens, because another program took its port, is started anew.
    pub(crate) fn start_driver(self, profile: &Path, fonts: Option<&Path>) -> Driver {
        let started = (0..5).find_map(|_| self.try_driver(profile, fonts));
        started.unwrap_or_else(|| panic!("the driver of {self:?} ended five times before it listened"))
    }

    fn try_driver(self, profile: &Path, fonts: Option<&Path>) -> Option<Driver> {
        let program = self.program();
        let mut command = Command::new(&program);
        if let Some(fonts) = fonts {
            command.env("FONTCONFIG_FILE", fonts);
        }
        let screen = (self == Self::WebKit).then(Screen::start);
        match self {
            Self::Chromium => drop(command.arg("--port=0")),
            Self::Firefox => drop(command.args(["--port=0", "--profile-root"]).arg(profile)),
            // it does not tell which port it chose
            Self::WebKit => {
                let free = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).and_then(|it| it.local_addr()).expect("a port");
                command.arg(format!("--port={}", free.port()));
                command.env("DISPLAY", &screen.as_ref().expect("it has a screen").name);
                // the language that a page is told is then 'C', which is none
                command.env("LC_ALL", "C.UTF-8").env("HOME", profile);
                let process = spawn(&mut command, Stdio::null());
                return Driver { process, screen, port: free.port() }.that_listens();
            }
        }
        let mut process = spawn(&mut command, Stdio::piped());
        let output = process.stdout.take().expect("the output is piped");
        let mut lines = BufReader::new(output).lines().map_while(Result::ok);
        let port = lines.find_map(|line| {
            let (_, port) =
                line.split_once("successfully on port ").or_else(|| line.split_once("Listening on 127.0.0.1:"))?;
            port.trim_end_matches('.').parse().ok()
        });
        // what the browser says later is let go, so that it never waits for a reader
        thread::spawn(move || lines.for_each(drop));
        let driver = Driver { process, screen, port: port.unwrap_or_default() };
        port.map(|_| driver)
    }
}

fn spawn(command: &mut Command, output: Stdio) -> Child {
    command.stdin(Stdio::null()).stdout(output).stderr(Stdio::null()).spawn().unwrap_or_else(|error| {
        panic!(
            "{} could not be started ({error}). The tests of the page need Chromium, Firefox and WebKit with their \
             drivers: ./tests/run installs them",
            command.get_program().display()
        )
    })
}

/// A driver that listens; ended when it goes out of scope.
#[derive(Debug)]
pub(crate) struct Driver {
    process: Child,
    #[expect(dead_code, reason = "it is there as long as the driver is")]
    screen: Option<Screen>,
    pub(crate) port: u16,
}

impl Driver {
    fn that_listens(mut self) -> Option<Self> {
        let start = Instant::now();
        while start.elapsed() < PATIENCE {
            if TcpStream::connect((Ipv4Addr::LOCALHOST, self.port)).is_ok() {
                return Some(self);
            }
            if self.process.try_wait().is_ok_and(|ended| ended.is_some()) {
                return None;
            }
            thread::sleep(Duration::from_millis(20));
        }
        None
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        end(&mut self.process);
    }
}

/// A screen in memory, for a browser that cannot do without.
#[derive(Debug)]
struct Screen {
    process: Child,
    name: String,
}

impl Screen {
    fn start() -> Self {
        let mut command = Command::new("Xvfb");
        command.args(["-displayfd", "1", "-screen", "0", "1600x1000x24", "-nolisten", "tcp"]);
        let mut process = spawn(&mut command, Stdio::piped());
        let mut number = String::new();
        let mut output = BufReader::new(process.stdout.take().expect("the output is piped"));
        output.read_line(&mut number).expect("Xvfb tells the number of its screen");
        Self { process, name: format!(":{}", number.trim()) }
    }
}

impl Drop for Screen {
    fn drop(&mut self) {
        end(&mut self.process);
    }
}

fn end(process: &mut Child) {
    drop(process.kill());
    drop(process.wait());
}
