//! One page in the browser, as a visitor uses it.

use std::cell::RefCell;
use std::thread;

use serde_json::{Value, json};

use crate::chromium::Chromium;
use crate::element::Element;
use crate::keys::Key;
use crate::screen::Screen;
use crate::wait::{patiently, until};

/// A tab in a browser context of its own. When it goes, it fails the test if anything went wrong on it that was not
/// [expected](Page::expect_trouble).
pub struct Page {
    browser: &'static Chromium,
    context: String,
    session: String,
    address: String,
    expected: RefCell<Vec<&'static str>>,
    trouble: RefCell<Vec<String>>,
}

impl Page {
    pub(crate) fn open(browser: &'static Chromium, address: &str, screen: Screen) -> Page {
        let call = |method: &str, params: Value| browser.call(None, method, params).expect("a new tab opens");
        let text = |value: &Value| value.as_str().expect("an id is a text").to_owned();
        let context = text(&call("Target.createBrowserContext", json!({}))["browserContextId"]);
        let target = json!({ "url": "about:blank", "browserContextId": context });
        let target = text(&call("Target.createTarget", target)["targetId"]);
        let session = json!({ "targetId": target, "flatten": true });
        let session = text(&call("Target.attachToTarget", session)["sessionId"]);
        let page = Page {
            browser,
            context,
            session,
            address: address.to_owned(),
            expected: RefCell::default(),
            trouble: RefCell::default(),
        };
        for domain in ["Page", "Runtime", "Log", "Network", "DOM", "Accessibility"] {
            page.call(&format!("{domain}.enable"), json!({}));
        }
        // Every tab believes that it is in front, so that all have a focus and draw at full speed.
        page.call("Emulation.setFocusEmulationEnabled", json!({ "enabled": true }));
        page.look_at(screen);
        page
    }

    /// Calls a method of the browser on this tab.
    #[track_caller]
    pub fn call(&self, method: &str, params: Value) -> Value {
        self.try_call(method, params).unwrap_or_else(|why| panic!("{why}"))
    }

    /// The same where a refusal is no wonder.
    #[track_caller]
    pub fn try_call(&self, method: &str, params: Value) -> Result<Value, String> {
        self.browser.call(Some(&self.session), method, params)
    }

    /// Changes the screen.
    pub fn look_at(&self, screen: Screen) {
        let metrics = json!({
            "width": screen.width, "height": screen.height, "deviceScaleFactor": 1, "mobile": screen.phone,
        });
        self.call("Emulation.setDeviceMetricsOverride", metrics);
        let scheme = if screen.dark { "dark" } else { "light" };
        self.prefer(&[("prefers-color-scheme", scheme)]);
    }

    /// Sets what the visitor prefers, in place of what was set before.
    pub fn prefer(&self, features: &[(&str, &str)]) {
        let features: Vec<Value> =
            features.iter().map(|(name, value)| json!({ "name": name, "value": value })).collect();
        self.call("Emulation.setEmulatedMedia", json!({ "features": features }));
    }

    /// Keeps the pages from running any script from here on.
    pub fn without_script(&self) {
        self.call("Emulation.setScriptExecutionDisabled", json!({ "value": true }));
    }

    /// Cuts the network off, or mends it.
    pub fn offline(&self, offline: bool) {
        let conditions =
            json!({ "offline": offline, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1 });
        self.call("Network.emulateNetworkConditions", conditions);
    }

    /// Lets no request through to addresses of these patterns.
    pub fn block(&self, patterns: &[&str]) {
        self.call("Network.setBlockedURLs", json!({ "urls": patterns }));
    }

    /// Says that something of this page's log is no fault: each message with this text in it.
    pub fn expect_trouble(&self, text: &'static str) {
        self.expected.borrow_mut().push(text);
    }

    /// Opens a path of the site, or a whole address, and waits until it is there.
    #[track_caller]
    pub fn go(&self, path: &str) {
        let url = if path.starts_with('/') { format!("{}{path}", self.address) } else { path.to_owned() };
        let answer = self.call("Page.navigate", json!({ "url": url }));
        assert!(answer.get("errorText").is_none(), "{url}: {}", answer["errorText"]);
        self.loaded();
    }

    /// Waits until the page is complete.
    #[track_caller]
    pub fn loaded(&self) {
        until(&format!("{} to load", self.path()), || {
            let state = self.try_js("document.readyState").ok()?;
            (state == "complete").then_some(())
        });
    }

    /// Waits until a page is complete whose path is the one wanted.
    #[track_caller]
    pub fn arrive(&self, what: &str, wanted: impl Fn(&str) -> bool) -> String {
        let mut last = String::new();
        let path = until(what, || {
            let now = self.try_js("document.readyState + ' ' + location.pathname + location.search").ok()?;
            let now = now.as_str()?.strip_prefix("complete ")?;
            last = now.to_owned();
            wanted(now).then(|| now.to_owned())
        });
        self.loaded();
        path
    }

    /// Path and query of the page.
    pub fn path(&self) -> String {
        let path = self.try_js("location.pathname + location.search").unwrap_or_default();
        path.as_str().unwrap_or_default().to_owned()
    }

    /// The value of a piece of script.
    #[track_caller]
    pub fn js(&self, script: &str) -> Value {
        self.try_js(script).unwrap_or_else(|why| panic!("{script}: {why}"))
    }

    /// The same where the page may just be going away.
    pub fn try_js(&self, script: &str) -> Result<Value, String> {
        let params = json!({ "expression": script, "returnByValue": true, "awaitPromise": true });
        let mut answer = self.try_call("Runtime.evaluate", params)?;
        match answer.get("exceptionDetails") {
            Some(fault) => Err(fault["exception"]["description"].to_string()),
            None => Ok(answer["result"]["value"].take()),
        }
    }

    /// Everything that can be read on the page, with plain spaces.
    pub fn text(&self) -> String {
        let text = self.try_js("document.body.innerText").unwrap_or_default();
        text.as_str().unwrap_or_default().replace('\u{a0}', " ")
    }

    /// Waits for words on the page.
    #[track_caller]
    pub fn reads(&self, words: &str) {
        let words = words.replace('\u{a0}', " ");
        until(&format!("“{words}” on {}", self.path()), || self.text().contains(&words).then_some(()));
    }

    /// The element that assistive technology is told of with this role and a name that contains `name`.
    ///
    /// # Panics
    /// When there is none after a while, with the names that there are.
    #[track_caller]
    pub fn find(&self, role: &str, name: &str) -> Element<'_> {
        patiently(|| self.all(role, name).into_iter().next()).unwrap_or_else(|| {
            panic!("no {role} “{name}” on {}, which has {:#?}", self.path(), self.names(role))
        })
    }

    /// All elements with this role whose name contains `name`, one with exactly that name first.
    pub fn all(&self, role: &str, name: &str) -> Vec<Element<'_>> {
        let mut found: Vec<(String, Element<'_>)> =
            self.with_role(role).into_iter().filter(|(told, _)| told.contains(name)).collect();
        found.sort_by_key(|(told, _)| told != name);
        found.into_iter().map(|(_, element)| element).collect()
    }

    /// The names of all elements with this role.
    pub fn names(&self, role: &str) -> Vec<String> {
        self.with_role(role).into_iter().map(|(name, _)| name).collect()
    }

    /// A field for text with suggestions is sometimes told as a combobox and sometimes as a textbox, by the same browser.
    fn with_role(&self, role: &str) -> Vec<(String, Element<'_>)> {
        let roles = if role == "textbox" { &["textbox", "combobox"][..] } else { &[role] };
        roles.iter().flat_map(|role| self.with_told_role(role)).collect()
    }

    fn with_told_role(&self, role: &str) -> Vec<(String, Element<'_>)> {
        let root = self.try_call("Runtime.evaluate", json!({ "expression": "document" }));
        let Ok(root) = root else { return Vec::new() };
        let query = json!({ "objectId": root["result"]["objectId"], "role": role });
        let answer = self.try_call("Accessibility.queryAXTree", query).unwrap_or_default();
        let nodes = answer["nodes"].as_array().cloned().unwrap_or_default();
        nodes.iter().filter(|node| node["ignored"] != true).filter_map(|node| self.named(node)).collect()
    }

    fn named(&self, node: &Value) -> Option<(String, Element<'_>)> {
        let element = Element::of_node(self, node["backendDOMNodeId"].as_u64()?)?;
        Some((node["name"]["value"].as_str().unwrap_or_default().to_owned(), element))
    }

    /// Role and name of what has the focus.
    pub fn focused(&self) -> (String, String) {
        let active = self.call("Runtime.evaluate", json!({ "expression": "document.activeElement" }));
        let query = json!({ "objectId": active["result"]["objectId"], "fetchRelatives": false });
        let answer = self.try_call("Accessibility.getPartialAXTree", query).unwrap_or_default();
        let text = |what: &str| answer["nodes"][0][what]["value"].as_str().unwrap_or_default().to_owned();
        (text("role"), text("name"))
    }

    /// The first element that a CSS selector finds.
    #[track_caller]
    pub fn select(&self, selector: &str) -> Element<'_> {
        until(&format!("{selector} on {}", self.path()), || self.try_select(selector))
    }

    fn try_select(&self, selector: &str) -> Option<Element<'_>> {
        let script = format!("document.querySelector({})", json!(selector));
        let answer = self.try_call("Runtime.evaluate", json!({ "expression": script })).ok()?;
        Some(Element::of_object(self, answer["result"]["objectId"].as_str()?))
    }

    /// Presses and releases a key.
    #[track_caller]
    pub fn press(&self, key: Key) {
        for params in key.events() {
            self.call("Input.dispatchKeyEvent", params);
        }
    }

    /// Types words where the focus is.
    #[track_caller]
    pub fn type_in(&self, words: &str) {
        self.call("Input.insertText", json!({ "text": words }));
    }

    /// A real event of the mouse.
    #[track_caller]
    pub fn mouse(&self, what: &str, (x, y): (f64, f64), down: bool) {
        let button = if what == "mouseMoved" && !down { "none" } else { "left" };
        let params = json!({
            "type": what, "x": x, "y": y, "button": button, "buttons": u8::from(down), "clickCount": 1,
        });
        self.call("Input.dispatchMouseEvent", params);
    }

    /// What was copied last.
    pub fn copied(&self) -> String {
        let permissions = ["clipboardReadWrite", "clipboardSanitizedWrite"];
        let params = json!({ "permissions": permissions, "browserContextId": self.context });
        self.browser.call(None, "Browser.grantPermissions", params).expect("the clipboard may be read");
        let copied = patiently(|| {
            let text = self.try_js("navigator.clipboard.readText()").ok()?.as_str()?.to_owned();
            Some(text).filter(|text| !text.is_empty())
        });
        copied.unwrap_or_default().replace("\r\n", "\n")
    }

    fn take_events(&self) {
        for event in self.browser.events(&self.session) {
            if let Some(trouble) = trouble(&event) {
                self.trouble.borrow_mut().push(trouble);
            }
        }
    }

    /// What went wrong on this page and was not expected.
    pub fn trouble(&self) -> Vec<String> {
        self.take_events();
        let expected = self.expected.borrow();
        let trouble = self.trouble.borrow();
        let odd = trouble.iter().filter(|line| !expected.iter().any(|text| line.contains(text)));
        odd.cloned().collect()
    }
}

/// What an event says of a fault: an error in the log (a broken security policy is one), an exception, a failed check.
fn trouble(event: &Value) -> Option<String> {
    let params = &event["params"];
    match event["method"].as_str()? {
        "Log.entryAdded" if params["entry"]["level"] == "error" => {
            Some(format!("{} {}", params["entry"]["text"], params["entry"]["url"]))
        }
        "Runtime.exceptionThrown" => Some(params["exceptionDetails"].to_string()),
        "Runtime.consoleAPICalled" if matches!(params["type"].as_str(), Some("error" | "assert")) => {
            Some(params["args"].to_string())
        }
        _ => None,
    }
}

impl Drop for Page {
    fn drop(&mut self) {
        // What happened before this answer has been told before it.
        let _ = self.try_js("0");
        let trouble = self.trouble();
        let context = json!({ "browserContextId": self.context });
        let _ = self.browser.call(None, "Target.disposeBrowserContext", context);
        if thread::panicking() {
            return;
        }
        assert!(trouble.is_empty(), "trouble on the page: {trouble:#?}");
    }
}
