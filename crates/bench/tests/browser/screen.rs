//! What a page is looked at with.

use std::fmt;

/// Size and colours of the screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Screen {
    /// Width in CSS pixels.
    pub width: u32,
    /// Height in CSS pixels.
    pub height: u32,
    /// Whether it is a phone's.
    pub phone: bool,
    /// Whether its owner likes it dark.
    pub dark: bool,
}

impl Screen {
    /// A screen on the workbench.
    pub const DESK: Screen = Screen { width: 1400, height: 1000, phone: false, dark: false };
    /// A phone.
    pub const PHONE: Screen = Screen { width: 390, height: 844, phone: true, dark: false };

    /// The same in the dark.
    pub const fn dark(self) -> Screen {
        Screen { dark: true, ..self }
    }

    /// All that matter.
    pub const ALL: [Screen; 4] = [Screen::DESK, Screen::PHONE, Screen::DESK.dark(), Screen::PHONE.dark()];
}

impl fmt::Display for Screen {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let size = if self.phone { "phone" } else { "desk" };
        write!(formatter, "{size}-{}", if self.dark { "dark" } else { "light" })
    }
}
