//! `knockon body`: where to begin, from measures of a rider.

use knockon_sheet::report::body as report;
use knockon_trade::body::{Bar, bar_of, read_measures, starting_points, with_record};

use crate::arguments::Body;
use crate::printer::Printer;
use crate::{BadInput, Ended, files};

pub(crate) fn run(body: &Body, printer: &Printer) -> Result<Ended, BadInput> {
    if body.measures.is_empty() && body.on.is_none() {
        printer.out(&report::measures(printer.width, printer.style));
        return Ok(Ended::Answered);
    }
    let mut measured = read_measures(&body.measures).map_err(|problems| {
        printer.problems(&problems);
        BadInput
    })?;
    let record = body.on.as_deref().map(|name| files::record(name, printer)).transpose()?;
    if let Some(record) = &record {
        measured = with_record(measured, record);
    }
    let bar = match body.bar.as_deref() {
        Some("drop") => Some(Bar::Drop),
        Some(_) => Some(Bar::Flat),
        None => record.as_ref().map(bar_of),
    };
    let points = starting_points(&measured, bar);
    if body.json {
        printer.out(&format!("{}\n", report::body_json(&measured, &points, record.as_ref())));
    } else {
        printer.out(&report::body(&measured, &points, record.as_ref(), printer.width, printer.style));
    }
    Ok(Ended::Answered)
}
