//! Opening the bench in a browser, where there is one.

use std::io::Write;

/// Opens an address in the usual browser of a person who sits at this machine. Without a display there is no such person,
/// and a failure is only mentioned: the address was printed.
pub(crate) fn open(address: &str) {
    if !has_display() {
        return;
    }
    let address = address.to_owned();
    // Some browsers end only when their window is closed.
    std::thread::spawn(move || {
        if let Err(error) = webbrowser::open(&address) {
            let _ = writeln!(
                std::io::stderr().lock(),
                "no browser could be opened ({error}); open {address} yourself"
            );
        }
    });
}

/// Whether there is a display to open a window on.
fn has_display() -> bool {
    if cfg!(any(target_os = "macos", target_os = "windows")) {
        return true;
    }
    ["DISPLAY", "WAYLAND_DISPLAY"]
        .into_iter()
        .any(|name| std::env::var_os(name).is_some_and(|value| !value.is_empty()))
}
