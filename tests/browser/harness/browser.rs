//! One browser: its driver on a port of its own, a fresh profile.

use std::future::Future;
use std::path::Path;
use std::time::Duration;

use serde_json::{Value, json};
use thirtyfour::WebDriver;
use thirtyfour::error::WebDriverResult;
use tokio::runtime::Runtime;

use super::engine::Driver;
use super::{Engine, Proxy, Scratch};

/// Nothing a page does in a test takes longer.
const LONGEST_COMMAND: Duration = Duration::from_secs(60);

/// Preferences of a person whose browser lets no page keep anything: 2 is 'block'.
pub(crate) fn storage_refused() -> Value {
    json!({ "profile.default_content_setting_values.cookies": 2 })
}

/// A browser, ended with its driver and profile when it goes out of scope.
#[derive(Debug)]
pub(crate) struct Browser {
    pub(super) engine: Engine,
    runtime: Runtime,
    driver: Option<WebDriver>,
    // dropped in this order: the profile when nothing writes to it any more
    process: Driver,
    profile: Scratch,
}

impl Browser {
    /// Starts Chromium, 1440 by 900.
    pub(crate) fn start() -> Self {
        Self::start_in(Engine::Chromium)
    }

    /// Starts a browser with one of the engines, about 1440 by 900.
    pub(crate) fn start_in(engine: Engine) -> Self {
        Self::start_as(engine, &json!({}), None, None)
    }

    /// The same, with every request going through a proxy, also those to this machine.
    pub(crate) fn start_behind(engine: Engine, proxy: &Proxy) -> Self {
        Self::start_as(engine, &json!({}), None, Some(proxy))
    }

    /// Starts Chromium such that it knows only the fonts of a configuration for fontconfig, with preferences of its own.
    pub(crate) fn start_with_fonts(fonts: &Path, preferences: &Value) -> Self {
        Self::start_as(Engine::Chromium, preferences, Some(fonts), None)
    }

    /// Starts Chromium with preferences of its own, such as [`storage_refused`].
    pub(crate) fn start_with(preferences: &Value) -> Self {
        Self::start_as(Engine::Chromium, preferences, None, None)
    }

    fn start_as(engine: Engine, preferences: &Value, fonts: Option<&Path>, proxy: Option<&Proxy>) -> Self {
        let profile = Scratch::new();
        let process = engine.start_driver(profile.path(), fonts);
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .expect("a runtime for the driver's client can be made");
        let mut browser = Self { engine, runtime, driver: None, process, profile };
        let driver = browser.run("starting the browser", async {
            let wishes = engine.wishes(browser.profile.path(), preferences, proxy)?;
            WebDriver::new(format!("http://127.0.0.1:{}", browser.process.port), wishes).await
        });
        if engine == Engine::WebKit {
            browser.run("making its window large", driver.set_window_rect(0, 0, 1440, 900));
        }
        browser.driver = Some(driver);
        browser
    }

    /// The WebDriver session.
    pub(crate) fn driver(&self) -> &WebDriver {
        self.driver.as_ref().expect("the session lasts as long as the browser")
    }

    /// Waits for a command that may fail.
    pub(crate) fn attempt<T>(&self, command: impl Future<Output = WebDriverResult<T>>) {
        drop(self.runtime.block_on(async { tokio::time::timeout(LONGEST_COMMAND, command).await }));
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
            // Ends the browser. A session that is gone already is as good.
            drop(self.runtime.block_on(async { tokio::time::timeout(Duration::from_secs(10), driver.quit()).await }));
        }
    }
}
