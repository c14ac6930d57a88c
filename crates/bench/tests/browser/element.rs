//! One element of a page, used as a visitor uses it.

use serde_json::{Value, json};

use crate::page::Page;
use crate::wait::until;

/// An element of a page.
pub struct Element<'page> {
    page: &'page Page,
    object: String,
}

impl<'page> Element<'page> {
    pub(crate) fn of_object(page: &'page Page, object: &str) -> Element<'page> {
        Element { page, object: object.to_owned() }
    }

    pub(crate) fn of_node(page: &'page Page, node: u64) -> Option<Element<'page>> {
        let answer = page.try_call("DOM.resolveNode", json!({ "backendNodeId": node })).ok()?;
        Some(Element::of_object(page, answer["object"]["objectId"].as_str()?))
    }

    /// The value of a function called on the element, as `this`.
    #[track_caller]
    pub fn js(&self, body: &str) -> Value {
        let params = json!({
            "objectId": self.object, "functionDeclaration": format!("function() {{ {body} }}"), "returnByValue": true,
        });
        let mut answer = self.page.call("Runtime.callFunctionOn", params);
        assert!(answer.get("exceptionDetails").is_none(), "{body}: {}", answer["exceptionDetails"]);
        answer["result"]["value"].take()
    }

    #[track_caller]
    fn text_of(&self, body: &str) -> String {
        self.js(body).as_str().unwrap_or_default().to_owned()
    }

    /// What can be read of it.
    #[track_caller]
    pub fn text(&self) -> String {
        self.text_of("return this.innerText ?? this.textContent")
    }

    /// What is filled in.
    #[track_caller]
    pub fn value(&self) -> String {
        self.text_of("return this.value")
    }

    /// An attribute; empty when it has none.
    #[track_caller]
    pub fn attribute(&self, name: &str) -> String {
        self.text_of(&format!("return this.getAttribute({})", json!(name)))
    }

    /// Left, top, width and height in the window.
    #[track_caller]
    pub fn place(&self) -> [f64; 4] {
        let place = self.js("const r = this.getBoundingClientRect(); return [r.x, r.y, r.width, r.height]");
        [0, 1, 2, 3].map(|index| place[index].as_f64().unwrap_or_default())
    }

    /// The middle of it, once it is in view and stands still.
    #[track_caller]
    pub fn middle(&self) -> (f64, f64) {
        self.js("this.scrollIntoView({ block: 'center', behavior: 'instant' })");
        let mut before = self.place();
        let [x, y, width, height] = until("an element to stand still", || {
            let now = self.place();
            let still = now == before && now[2] > 0.0 && now[3] > 0.0;
            before = now;
            still.then_some(now)
        });
        (x + width / 2.0, y + height / 2.0)
    }

    /// Clicks it with the mouse, where a visitor would: in the middle, which nothing may cover.
    #[track_caller]
    pub fn click(&self) {
        let (x, y) = self.middle();
        let hit = self.js(&format!(
            "const top = document.elementFromPoint({x}, {y}); \
             return top === null ? 'nothing' : this.contains(top) || top.contains(this) || \
                    [...(this.labels ?? [])].some(label => label.contains(top)) ? '' : top.outerHTML.slice(0, 200)"
        ));
        assert_eq!(hit, "", "something lies over what was to be clicked");
        self.page.mouse("mouseMoved", (x, y), false);
        self.page.mouse("mousePressed", (x, y), true);
        self.page.mouse("mouseReleased", (x, y), false);
    }

    /// Puts the focus on it and types in place of what was there.
    #[track_caller]
    pub fn fill(&self, words: &str) {
        self.js("this.scrollIntoView({ block: 'center', behavior: 'instant' }); this.focus(); this.select()");
        self.page.type_in(words);
    }

    /// Chooses the option of a list whose text contains `words`.
    #[track_caller]
    pub fn choose(&self, words: &str) {
        let chosen = self.js(&format!(
            "const option = [...this.options].find(option => option.text.includes({})); \
             if (!option) return [...this.options].map(option => option.text).join(' | '); \
             this.value = option.value; \
             for (const type of ['input', 'change']) this.dispatchEvent(new Event(type, {{ bubbles: true }})); \
             return ''",
            json!(words)
        ));
        assert_eq!(chosen, "", "no choice “{words}”");
    }
}
