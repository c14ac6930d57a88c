//! Drivetrains and descents for the tests of these drawings.

use kurbo::{Point, Vec2};

use super::figure_svg;
use crate::part::{Drawn, Fan, Figure, GearChart, HeatChart, HeatCurve, LaidOut, RingLine};

/// Cogs of a wide cassette, lowest gear first.
pub(super) const WIDE: [u8; 12] = [51, 45, 39, 33, 28, 24, 21, 18, 16, 14, 12, 10];
/// Cogs of an older cassette.
pub(super) const EIGHT: [u8; 8] = [32, 26, 21, 18, 15, 13, 12, 11];

pub(super) fn ring(teeth: u8, cogs: &[u8]) -> RingLine {
    let gear = |cog: &u8| (f64::from(teeth) / f64::from(*cog) * 2.29, cog.to_string());
    RingLine { label: format!("{teeth} teeth"), gears: cogs.iter().map(gear).collect() }
}

pub(super) fn gears(rings: &[u8], before: &[u8], cogs: &[u8]) -> GearChart {
    let lines = |rings: &[u8]| rings.iter().map(|teeth| ring(*teeth, cogs)).collect();
    GearChart { unit: "m".to_owned(), rings: lines(rings), before: lines(before) }
}

/// So many inner gears on one ring, from 1.6 m upward.
pub(super) fn inner(count: u32) -> GearChart {
    let gears = (0..count).map(|gear| (1.6 * 1.136_f64.powf(f64::from(gear)), (gear + 1).to_string()));
    let ring = RingLine { label: "38 teeth, inner gears".to_owned(), gears: gears.collect() };
    GearChart { unit: "m".to_owned(), rings: vec![ring], before: Vec::new() }
}

pub(super) fn fan(rings: &[(f64, u8)], cogs: &[u8], pitch: f64) -> Fan {
    let cog = |(place, teeth): (usize, &u8)| (25.5 + place as f64 * pitch, teeth.to_string());
    let cogs: Vec<_> = cogs.iter().enumerate().map(cog).collect();
    let rings: Vec<_> = rings.iter().map(|(lateral, teeth)| (*lateral, teeth.to_string())).collect();
    let all = (0..rings.len()).flat_map(|ring| (0..cogs.len()).map(move |cog| (ring, cog)));
    let askew = |(ring, cog): &(usize, usize)| (rings[*ring].0 - cogs[*cog].0).abs();
    let worst = all.max_by(|a, b| askew(a).total_cmp(&askew(b))).unwrap_or_default();
    let angle =
        if rings.is_empty() || cogs.is_empty() { 0.0 } else { (askew(&worst) / 432.0).atan().to_degrees() };
    Fan { rings, cogs, centres: 432.0, worst: (worst.0, worst.1, format!("{angle:.1}°")) }
}

/// A descent: each rotor nears the temperature `end` that it would have after a long time.
pub(super) fn heat(front: f64, rear: f64, minutes: f64, changed: bool) -> HeatChart {
    let curve = |label: &str, end: f64, was: f64| {
        let at = |step: u32, end: f64| {
            let minute = minutes * f64::from(step) / 40.0;
            (minute, 20.0 + (end - 20.0) * (1.0 - (-minute / 3.0).exp()))
        };
        let after = (0..=40).map(|step| at(step, end)).map(|(x, y)| [x, y, (y - 20.0) * 0.15]);
        let before = (0..=40).map(|step| at(step, was)).map(|(x, y)| [x, y]);
        HeatCurve {
            label: label.to_owned(),
            after: after.collect(),
            before: if changed { before.collect() } else { Vec::new() },
        }
    };
    HeatChart {
        curves: vec![curve("Front rotor", front, front * 1.25), curve("Rear rotor", rear, rear * 1.2)],
        levels: vec![
            ("old brake fluid boils".to_owned(), 155.0),
            ("fresh brake fluid boils".to_owned(), 230.0),
            ("organic pads fade".to_owned(), 300.0),
        ],
    }
}

/// A wheel and whether it turns to the left, in the order in which the chain reaches them.
type Turning = (Point, f64, &'static str, bool);

/// The straight run from one wheel to the next.
fn tangent(a: &Turning, b: &Turning) -> (Point, Point) {
    let sign = |wheel: &Turning| if wheel.3 { 1.0 } else { -1.0 };
    let apart = b.0 - a.0;
    let askew = ((sign(a) * a.1 - sign(b) * b.1) / apart.hypot()).asin();
    let way = Vec2::from_angle(apart.atan2() + askew);
    let aside = Vec2::new(way.y, -way.x);
    (a.0 + aside * sign(a) * a.1, b.0 + aside * sign(b) * b.1)
}

/// The chain round these wheels, the first run from the ring; the last, onto the ring, is the tight one.
fn laid(label: &str, wheels: &[Turning], tight: f64, clearance: &str) -> LaidOut {
    let next = wheels.iter().cycle().skip(1);
    let last = wheels.len() - 1;
    let runs = wheels.iter().zip(next).enumerate().map(|(place, (from, to))| {
        let (from, to) = tangent(from, to);
        (from, to, if place == last || (wheels[last].1 < 30.0 && place + 2 > last) { tight } else { 20.0 })
    });
    LaidOut {
        label: label.to_owned(),
        wheels: wheels.iter().map(|(at, radius, teeth, _)| (*at, *radius, (*teeth).to_owned())).collect(),
        runs: runs.collect(),
        ground: -335.0,
        tyre: 365.0,
        tight: format!("{tight:.0} N"),
        slack: "20 N".to_owned(),
        clearance: clearance.to_owned(),
    }
}

/// Five ways, and how each is named.
pub(super) fn layouts() -> Vec<LaidOut> {
    let ring: Turning = (Point::ORIGIN, 64.8, "32", false);
    let cog: Turning = (Point::new(-430.0, 30.0), 36.4, "18", false);
    let large: Turning = (Point::new(-430.0, 30.0), 103.0, "51", false);
    let pulley = |x: f64, y: f64, left: bool| -> Turning { (Point::new(x, y), 24.3, "12", left) };
    vec![
        laid("Straight", &[ring, cog], 2624.0, "265 mm"),
        laid(
            "Derailleur",
            &[ring, pulley(-385.0, -205.0, false), pulley(-408.0, -112.0, true), large],
            2624.0,
            "106 mm",
        ),
        laid("Tensioner below, pushing up", &[ring, pulley(-300.0, -34.0, true), cog], 2720.0, "270 mm"),
        laid("Idler above the ring", &[ring, cog, pulley(-40.0, 150.0, false)], 2720.0, "265 mm"),
        laid("Jackshaft drive with a rather long name that wraps", &[ring, cog], 640.0, "265 mm"),
    ]
}

/// Every drawing of the sample, each with its name.
pub(super) fn drawings() -> Vec<(&'static str, Drawn)> {
    let moved = GearChart { before: vec![ring(30, &WIDE)], ..gears(&[32], &[], &WIDE) };
    let rings = [(39.5, 22), (47.0, 32), (54.5, 44)];
    let cool = HeatChart { levels: Vec::new(), ..heat(70.0, 55.0, 6.0, false) };
    vec![
        ("one ring", Drawn::Gears(gears(&[32], &[], &WIDE))),
        ("one ring, changed", Drawn::Gears(moved)),
        ("three rings", Drawn::Gears(gears(&[22, 32, 44], &[], &EIGHT))),
        ("three rings to one", Drawn::Gears(gears(&[34], &[22, 34, 44], &EIGHT))),
        ("single speed", Drawn::Gears(gears(&[44], &[], &[17]))),
        ("inner gears", Drawn::Gears(inner(14))),
        ("no gears", Drawn::Gears(GearChart::default())),
        ("fan, one ring", Drawn::Fan(fan(&[(49.0, 32)], &WIDE, 3.65))),
        ("fan, three rings", Drawn::Fan(fan(&rings, &EIGHT, 4.8))),
        ("fan, single speed", Drawn::Fan(fan(&[(45.0, 44)], &[17], 4.0))),
        ("no fan", Drawn::Fan(Fan::default())),
        ("hot", Drawn::Heat(heat(310.0, 240.0, 12.0, true))),
        ("alike", Drawn::Heat(heat(180.0, 180.0, 12.0, true))),
        ("cool", Drawn::Heat(cool)),
        ("cool, with levels", Drawn::Heat(heat(70.0, 55.0, 25.0, true))),
        ("no heat", Drawn::Heat(HeatChart::default())),
        ("layouts", Drawn::Layouts(layouts())),
        ("one layout", Drawn::Layouts(layouts().split_off(4))),
        ("no layout", Drawn::Layouts(Vec::new())),
    ]
}

/// Writes the samples as pages, light and dark, to the folder named by `KNOCKON_DRAWINGS`, to be looked at.
#[test]
fn workings_can_be_written_for_viewing() {
    let Some(folder) = std::env::var_os("KNOCKON_DRAWINGS").map(std::path::PathBuf::from) else { return };
    std::fs::create_dir_all(&folder).expect("the folder can be made");
    let style = format!(
        "{}{}{}",
        crate::lettering::font_face_css(),
        crate::html::parts_css(".x"),
        crate::drawing::drawing_css()
    );
    let palettes = [
        ("light", "--paper:#f8f5ec;--ink:#17212b;--thin:#5f6870;--change:#ae380c;--caution:#9c1230"),
        ("dark", "--paper:#11304c;--ink:#f3f8fc;--thin:#8fb2d0;--change:#ffb168;--caution:#ff9dab"),
    ];
    for (palette, colours) in palettes {
        for (kind, wanted) in [("gears", 0..7), ("fan", 7..11), ("heat", 11..16), ("layouts", 16..19)] {
            let mut page = format!(
                "<!doctype html><meta charset=utf-8><style>:root{{{colours}}}body{{background:var(--paper);margin:16px;display:grid;grid-template-columns:repeat(2,480px);gap:24px;align-items:start}}figure{{margin:0;outline:1px dotted #888}}{style}</style>"
            );
            for (place, (_, drawn)) in
                drawings().into_iter().enumerate().filter(|(place, _)| wanted.contains(place))
            {
                let figure = Figure {
                    id: "f",
                    title: String::new(),
                    description: String::new(),
                    caption: String::new(),
                    drawn,
                };
                page += &format!("<figure>{}</figure>", figure_svg(&figure, &format!("f{place}")));
            }
            std::fs::write(folder.join(format!("{kind}-{palette}.html")), page).unwrap();
        }
    }
}
