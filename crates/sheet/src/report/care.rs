//! What a cleaner or fluid does to a surface, and what is done in which order.

use knockon_trade::care::{Agent, Care, Contact, Routine, Surface, care};
use knockon_trade::tables::{self, Caution};
use knockon_trade::words::{first_sentence, join, lower_first};
use serde::Serialize;

use crate::text::Style;
use crate::text::lines::{Ink, Lines};

/// What is asked of the table.
#[derive(Clone, Copy, Debug)]
pub enum Asked {
    /// What there is.
    Everything,
    /// One agent on every surface.
    Agent(&'static Agent),
    /// Every agent on one surface.
    Surface(&'static Surface),
    /// One agent on one surface.
    Both(&'static Agent, &'static Surface),
    /// What is done in an order.
    Routine(&'static Routine),
}

/// The answer, wrapped to `width` columns.
pub fn text(asked: Asked, width: usize, style: Style) -> String {
    let mut page = Lines::new(width, style);
    match asked {
        Asked::Everything => everything(&mut page),
        Asked::Agent(agent) => {
            page.paragraph(Ink::Strong, "", &agent.name);
            page.paragraph(Ink::Plain, "", &agent.is);
            let rows: Vec<(&str, &Care)> = tables::surfaces()
                .iter()
                .map(|surface| (surface.name.as_str(), care(agent, surface)))
                .collect();
            contacts(&mut page, &rows);
        }
        Asked::Surface(surface) => {
            page.paragraph(Ink::Strong, "", &surface.name);
            let rows: Vec<(&str, &Care)> =
                tables::agents().iter().map(|agent| (agent.name.as_str(), care(agent, surface))).collect();
            contacts(&mut page, &rows);
        }
        Asked::Both(agent, surface) => {
            let row = care(agent, surface);
            page.paragraph(Ink::Strong, "", &format!("{} on: {}", agent.name, lower_first(&surface.name)));
            contact(&mut page, row.contact);
            page.paragraph(Ink::Plain, "", &row.effect);
            page.paragraph(Ink::Plain, "", &row.action);
        }
        Asked::Routine(routine) => {
            page.paragraph(Ink::Strong, "", &routine.title);
            page.paragraph(Ink::Plain, "", &routine.when);
            page.gap();
            for (index, step) in routine.steps.iter().enumerate() {
                page.led(Ink::Strong, &format!("{:<3}", index + 1), Ink::Plain, &step.action);
                page.led(Ink::Quiet, "   ", Ink::Quiet, &step.why);
            }
        }
    }
    let told = cautions(asked);
    if !told.is_empty() {
        page.gap();
        page.paragraph(Ink::Caution, "", "CAUTION");
        for caution in told {
            page.led(Ink::Caution, "!  ", Ink::Plain, &caution.text);
        }
    }
    let told = sources(asked);
    if !told.is_empty() {
        page.gap();
        page.paragraph(Ink::Quiet, "", &format!("Sources: {}.", told.join("; ")));
    }
    page.finish()
}

fn everything(page: &mut Lines) {
    page.heading("Cleaners, lubricants, fluids");
    let names: Vec<String> = tables::agents().iter().map(|agent| lower_first(&agent.name)).collect();
    page.paragraph(Ink::Plain, "", &format!("{}.", join(&names)));
    page.heading("Surfaces");
    let names: Vec<String> = tables::surfaces().iter().map(|surface| lower_first(&surface.name)).collect();
    page.paragraph(Ink::Plain, "", &format!("{}.", join(&names)));
    page.heading("What is done in an order");
    for routine in tables::routines() {
        page.led(Ink::Change, &format!("{:<22}", routine.id), Ink::Plain, &routine.title);
    }
    page.gap();
    page.paragraph(
        Ink::Quiet,
        "",
        "`knockon clean \"brake cleaner\" pads` tells of a pair, one name of everything that it meets.",
    );
}

fn contacts(page: &mut Lines, rows: &[(&str, &Care)]) {
    for wanted in Contact::ALL.into_iter().rev() {
        let of_kind: Vec<_> = rows.iter().filter(|(_, row)| row.contact == wanted).collect();
        if of_kind.is_empty() {
            continue;
        }
        page.heading(wanted.words());
        for (name, row) in of_kind {
            page.led(Ink::Strong, &format!("{} ", mark(wanted)), Ink::Strong, name);
            page.led(Ink::Plain, "  ", Ink::Plain, first_sentence(&row.effect));
        }
    }
}

fn contact(page: &mut Lines, contact: Contact) {
    let ink = if contact == Contact::KeepOff { Ink::Caution } else { Ink::Strong };
    page.led(ink, &format!("{} ", mark(contact)), ink, contact.words());
}

/// A one-column mark.
pub fn mark(contact: Contact) -> char {
    match contact {
        Contact::Suits => '+',
        Contact::WithCare => '~',
        Contact::KeepOff => '×',
    }
}

/// Everything that could hurt, strongest first. Of one surface with every agent each agent keeps its own, told with the pair.
pub fn cautions(asked: Asked) -> Vec<&'static Caution> {
    let mut all: Vec<&'static Caution> = match asked {
        Asked::Everything => Vec::new(),
        Asked::Agent(agent) => {
            tables::surfaces().iter().flat_map(|surface| care(agent, surface).cautions()).collect()
        }
        Asked::Surface(surface) => {
            tables::agents().iter().flat_map(|agent| care(agent, surface).cautions()).collect()
        }
        Asked::Both(agent, surface) => care(agent, surface).cautions(),
        Asked::Routine(routine) => routine.cautions(),
    };
    all.sort_by_key(|caution| (caution.rank, &caution.id));
    all.dedup_by_key(|caution| &caution.id);
    all
}

/// Every source, each once.
pub fn sources(asked: Asked) -> Vec<&'static str> {
    let mut all: Vec<&'static str> = match asked {
        Asked::Everything => Vec::new(),
        Asked::Agent(agent) => {
            tables::surfaces().iter().map(|surface| care(agent, surface).source.as_str()).collect()
        }
        Asked::Surface(surface) => {
            tables::agents().iter().map(|agent| care(agent, surface).source.as_str()).collect()
        }
        Asked::Both(agent, surface) => vec![care(agent, surface).source.as_str()],
        Asked::Routine(routine) => vec![routine.source.as_str()],
    };
    all.extend(cautions(asked).iter().map(|caution| caution.source.as_str()));
    let mut seen = std::collections::BTreeSet::new();
    all.retain(|source| seen.insert(*source));
    all
}

#[derive(Serialize)]
struct Object<'a> {
    contacts: Vec<Pair<'a>>,
    routine: Option<Order<'a>>,
    cautions: Vec<&'a str>,
    sources: Vec<&'a str>,
}

#[derive(Serialize)]
struct Pair<'a> {
    agent: &'a str,
    surface: &'a str,
    contact: &'static str,
    effect: &'a str,
    #[serde(rename = "do")]
    action: &'a str,
    cautions: Vec<&'a str>,
    source: &'a str,
}

#[derive(Serialize)]
struct Order<'a> {
    routine: &'a str,
    title: &'a str,
    when: &'a str,
    steps: Vec<Step<'a>>,
}

#[derive(Serialize)]
struct Step<'a> {
    #[serde(rename = "do")]
    action: &'a str,
    why: &'a str,
}

/// The same as one JSON object; asked for everything, it holds every pair.
///
/// # Panics
/// Never: there are texts alone.
pub fn json(asked: Asked) -> String {
    let pairs: Vec<(&'static Agent, &'static Surface)> = match asked {
        Asked::Routine(_) => Vec::new(),
        Asked::Both(agent, surface) => vec![(agent, surface)],
        Asked::Agent(agent) => tables::surfaces().iter().map(|surface| (agent, surface)).collect(),
        Asked::Surface(surface) => tables::agents().iter().map(|agent| (agent, surface)).collect(),
        Asked::Everything => {
            let each = |agent| tables::surfaces().iter().map(move |surface| (agent, surface));
            tables::agents().iter().flat_map(each).collect()
        }
    };
    let pair = |(agent, surface): (&'static Agent, &'static Surface)| {
        let row = care(agent, surface);
        Pair {
            agent: &agent.id,
            surface: &surface.id,
            contact: row.contact.key(),
            effect: &row.effect,
            action: &row.action,
            cautions: row.cautions().iter().map(|caution| caution.text.as_str()).collect(),
            source: &row.source,
        }
    };
    let order = |routine: &'static Routine| Order {
        routine: &routine.id,
        title: &routine.title,
        when: &routine.when,
        steps: routine.steps.iter().map(|step| Step { action: &step.action, why: &step.why }).collect(),
    };
    let object = Object {
        contacts: pairs.into_iter().map(pair).collect(),
        routine: if let Asked::Routine(routine) = asked { Some(order(routine)) } else { None },
        cautions: cautions(asked).iter().map(|caution| caution.text.as_str()).collect(),
        sources: sources(asked),
    };
    serde_json::to_string_pretty(&object).expect("texts")
}
