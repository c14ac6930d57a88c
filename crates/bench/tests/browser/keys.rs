//! Keys of a keyboard, as the browser wants to be told of them.

use serde_json::{Value, json};

/// A key, with or without others held down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Key {
    /// To the next control.
    Tab,
    /// To the one before.
    ShiftTab,
    /// Follows a link, presses a button, sends a form.
    Enter,
    /// Presses a button, ticks a box.
    Space,
    /// One step down in a list or of a slider.
    Down,
    /// One step up.
    Up,
    /// One step more of a slider.
    Right,
    /// The same with Shift held.
    ShiftRight,
    /// To the end of a slider.
    End,
    /// A letter with Ctrl held.
    Ctrl(char),
    /// A letter with Ctrl and Shift held.
    CtrlShift(char),
}

/// Bits of the keys that are held down.
const CTRL: u8 = 2;
const SHIFT: u8 = 8;

impl Key {
    /// Its events: down and up.
    pub fn events(self) -> [Value; 2] {
        let (key, code, number, text) = self.names();
        let held = match self {
            Key::ShiftTab | Key::ShiftRight => SHIFT,
            Key::Ctrl(_) => CTRL,
            Key::CtrlShift(_) => CTRL | SHIFT,
            _ => 0,
        };
        // A key that writes something must say what; one that does not must not.
        let down = if text.is_empty() { "rawKeyDown" } else { "keyDown" };
        [down, "keyUp"].map(|what| {
            let mut event = json!({
                "type": what, "key": key, "code": code, "windowsVirtualKeyCode": number, "modifiers": held,
            });
            if what == "keyDown" {
                event["text"] = text.into();
            }
            event
        })
    }

    fn names(self) -> (String, String, u32, &'static str) {
        let plain = |name: &str, number, text| (name.to_owned(), name.to_owned(), number, text);
        match self {
            Key::Tab | Key::ShiftTab => plain("Tab", 9, ""),
            Key::Enter => plain("Enter", 13, "\r"),
            Key::Space => (" ".to_owned(), "Space".to_owned(), 32, " "),
            Key::Down => plain("ArrowDown", 40, ""),
            Key::Up => plain("ArrowUp", 38, ""),
            Key::Right | Key::ShiftRight => plain("ArrowRight", 39, ""),
            Key::End => plain("End", 35, ""),
            Key::Ctrl(letter) => letter_names(letter),
            Key::CtrlShift(letter) => letter_names(letter.to_ascii_uppercase()),
        }
    }
}

fn letter_names(letter: char) -> (String, String, u32, &'static str) {
    let upper = letter.to_ascii_uppercase();
    (letter.to_string(), format!("Key{upper}"), u32::from(upper), "")
}
