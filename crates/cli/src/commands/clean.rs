//! `knockon clean`: cleaners against surfaces, and what is done in which order.

use knockon_sheet::report::care::{Asked, json as as_json, text};
use knockon_trade::care::{find, near};
use knockon_trade::tables;

use crate::printer::Printer;
use crate::{BadInput, Ended};

pub(crate) fn run(names: &[String], json: bool, printer: &Printer) -> Result<Ended, BadInput> {
    let mut agent = None;
    let mut surface = None;
    let mut routine = None;
    for name in names {
        let told = [agent.is_some(), surface.is_some(), routine.is_some()];
        if let Some(found) = find(tables::agents(), name).filter(|_| !told[0]) {
            agent = Some(found);
        } else if let Some(found) = find(tables::surfaces(), name).filter(|_| !told[1]) {
            surface = Some(found);
        } else if let Some(found) = find(tables::routines(), name).filter(|_| !told[2]) {
            routine = Some(found);
        } else if find(tables::agents(), name).is_some() || find(tables::surfaces(), name).is_some() {
            return Err(printer.fail(
                &format!("\"{name}\" is a second one of its kind"),
                "name one cleaner or fluid and one surface",
            ));
        } else {
            let help = near(name).map_or_else(
                || "`knockon clean` lists every cleaner, surface and routine".to_owned(),
                |near| format!("did you mean \"{near}\"? `knockon clean` lists them all"),
            );
            return Err(printer.fail(&format!("\"{name}\" is no cleaner, surface or routine"), &help));
        }
    }
    let asked = match (agent, surface, routine) {
        (None, None, None) => Asked::Everything,
        (Some(agent), None, None) => Asked::Agent(agent),
        (None, Some(surface), None) => Asked::Surface(surface),
        (Some(agent), Some(surface), None) => Asked::Both(agent, surface),
        (None, None, Some(routine)) => Asked::Routine(routine),
        _ => return Err(printer.fail("a routine stands by itself", "name the routine alone")),
    };
    if json {
        printer.out(&format!("{}\n", as_json(asked)));
    } else {
        printer.out(&text(asked, printer.width, printer.style));
    }
    Ok(Ended::Answered)
}
