//! The pages in a real browser: headless Chromium, looked for in `$KNOCKON_CHROMIUM` and then on the path.
//!
//! Without a browser every test says so on standard error and passes; with `KNOCKON_BROWSER=required` it fails instead.
//! With `KNOCKON_SCREENSHOTS=FOLDER` the test `pictures_of_every_page` leaves pictures for people to look at.
//!
//! A test opens a [`site::Site`] (a server of its own on a demo workshop of its own) and [`page::Page`]s on it. Things on
//! a page are found by the role and name that the browser tells assistive technology. A page that logs an error, throws
//! an exception or breaks its content security policy fails its test, whatever else it was about.

mod accessibility;
mod backwards;
mod chromium;
mod dark;
mod element;
mod failing_save;
mod inspect;
mod keyboard;
mod keys;
mod link;
mod message;
mod own_faults;
mod page;
mod phone;
mod pictures;
mod pivot;
mod places;
mod screen;
mod second_way;
mod shown;
mod site;
mod slider;
mod travel;
mod typing;
mod undo;
mod wait;
mod whole_path;
mod without_script;
