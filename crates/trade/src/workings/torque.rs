//! What a torque does to a bolt, and the usual torques of a bicycle's joints.
//!
//! The maker's figure always wins: it knows the clamp, not only the bolt.

use knockon_engine::fastener::engagement::{IN_ALUMINIUM, IN_STEEL, Mating};
use knockon_engine::fastener::strength::{REUSED, proof_load};
use knockon_engine::fastener::thread::stress_area;
use knockon_engine::fastener::tightening::{Joint, bearing_diameter};
use serde::Deserialize;

use crate::problem::nearest;
use crate::tables;

/// A thread; a row of `data/threads.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Thread {
    /// "M5".
    pub name: String,
    /// Diameter, mm.
    pub diameter: f64,
    /// Pitch, mm.
    pub pitch: f64,
    /// Outer diameter of the face under the head of a socket screw, mm.
    pub head: f64,
    /// Hole that it goes through, mm.
    pub hole: f64,
    /// Where bicycles have it.
    pub used: String,
    /// Source.
    pub source: String,
}

/// A property class; a row of `data/bolt_classes.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BoltClass {
    /// "8.8".
    pub name: String,
    /// "steel" and so on.
    pub material: String,
    /// Tensile strength, N/mm².
    pub tensile: f64,
    /// Stress that leaves no lasting stretch, N/mm².
    pub proof: f64,
    /// Source.
    pub source: String,
}

/// A state of thread and head; a row of `data/frictions.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Friction {
    /// "greased".
    pub name: String,
    /// Least, usual and most coefficient of friction.
    pub range: [f64; 3],
    /// Source.
    pub source: String,
}

/// A joint of a bicycle and its usual torque; a row of `data/joints.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct JointRow {
    /// "stem faceplate".
    pub name: String,
    /// Other ways to say it.
    #[serde(default)]
    pub say: Vec<String>,
    /// Usual range, N·m.
    pub torque: [f64; 2],
    /// Thread, where it is the same on nearly all bikes.
    pub thread: Option<String>,
    /// What to mind: left-hand threads, grease, order.
    pub mind: String,
    /// Source.
    pub source: String,
}

/// What a joint is asked about.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// Name of the thread.
    pub thread: String,
    /// Name of the property class.
    pub class: String,
    /// Name of the state.
    pub friction: String,
    /// Torque that somebody wants to know about, N·m; without one, what the bolt bears is told.
    pub torque: Option<f64>,
    /// Torque that the maker names, N·m.
    pub makers: Option<f64>,
    /// Depth that the bolt goes into its thread, mm.
    pub depth: Option<f64>,
}

/// A bolt worked out. Torques N·m, forces N, lengths mm.
#[derive(Clone, Debug)]
pub struct BoltWork {
    /// The thread.
    pub thread: &'static Thread,
    /// The class.
    pub class: &'static BoltClass,
    /// The state.
    pub friction: &'static Friction,
    /// Stress area, mm².
    pub area: f64,
    /// Load that leaves no lasting stretch.
    pub proof: f64,
    /// Torque for three quarters of that, at the usual friction: what the bolt bears, never what the joint wants.
    pub bears: f64,
    /// The torque that is told about: the maker's, else the one asked, else [`BoltWork::bears`].
    pub torque: f64,
    /// Preload at that torque: least (most friction), usual, most (least friction).
    pub preload: [f64; 3],
    /// The last as a part of the proof load, percent.
    pub worst_share: f64,
    /// Factor of the short form, K in T = K·d·F.
    pub nut_factor: f64,
    /// Turns of thread that hold as much as the bolt: in steel of its own kind and in aluminium, and the rules of thumb.
    pub engagement: [f64; 4],
    /// Whether the depth that was told is enough, by the rule of thumb for aluminium; `None` without one.
    pub deep_enough: Option<bool>,
    /// Whether the maker's torque differs from the one that was asked.
    pub maker_wins: bool,
}

/// Tensile strength of the aluminium that threads are cut into, N/mm²: 6061-T6. From memory, unverified.
const ALUMINIUM: f64 = 310.0;

/// Tensile strength of the steel that threads are cut into, N/mm²: plain, as of a frame's boss. From memory, unverified.
const STEEL: f64 = 500.0;

impl Asked {
    /// Works the bolt out.
    ///
    /// ```
    /// use knockon_trade::workings::torque::Asked;
    /// let asked = Asked {
    ///     thread: "M5".into(), class: "8.8".into(), friction: "dry".into(), torque: Some(5.0), makers: None, depth: None,
    /// };
    /// let work = asked.work().unwrap();
    /// assert!((work.area - 14.18).abs() < 0.01); // ISO 898-1
    /// assert!(work.preload[0] < work.preload[1] && work.preload[1] < work.preload[2]);
    /// ```
    ///
    /// # Errors
    /// When a name is not known; in words, with the nearest that is.
    pub fn work(&self) -> Result<BoltWork, String> {
        let thread = named("thread", &self.thread, tables::threads(), |row| &row.name)?;
        let class = named("class", &self.class, tables::bolt_classes(), |row| &row.name)?;
        let friction = named("state", &self.friction, tables::frictions(), |row| &row.name)?;
        for (what, value, most) in [
            ("torque", self.torque, 400.0),
            ("maker's torque", self.makers, 400.0),
            ("depth", self.depth, 100.0),
        ] {
            if value.is_some_and(|value| !(value > 0.0 && value <= most)) {
                return Err(format!("the {what} must be more than 0 and at most {most}"));
            }
        }
        Ok(self.worked(thread, class, friction))
    }

    fn worked(
        &self,
        thread: &'static Thread,
        class: &'static BoltClass,
        friction: &'static Friction,
    ) -> BoltWork {
        let joint = |friction: f64| Joint {
            diameter: thread.diameter,
            pitch: thread.pitch,
            thread_friction: friction,
            head_friction: friction,
            bearing_diameter: bearing_diameter(thread.head, thread.hole),
        };
        let [least, usual, most] = friction.range;
        let area = stress_area(thread.diameter, thread.pitch);
        let proof = proof_load(area, class.proof);
        let bears = joint(usual).torque(REUSED * proof);
        let torque = self.makers.or(self.torque).unwrap_or(bears);
        let preload = [most, usual, least].map(|friction| joint(friction).preload(torque));
        let mating = Mating::basic(thread.diameter, thread.pitch);
        let deep = |nut: f64| mating.engagement_least(class.tensile, nut);
        BoltWork {
            thread,
            class,
            friction,
            area,
            proof,
            bears,
            torque,
            preload,
            worst_share: preload[2] / proof * 100.0,
            nut_factor: joint(usual).nut_factor(),
            engagement: [
                deep(STEEL),
                deep(ALUMINIUM),
                IN_STEEL * thread.diameter,
                IN_ALUMINIUM * thread.diameter,
            ],
            deep_enough: self.depth.map(|depth| depth >= IN_ALUMINIUM * thread.diameter),
            maker_wins: self
                .makers
                .zip(self.torque)
                .is_some_and(|(maker, asked)| (maker - asked).abs() > 1e-9),
        }
    }
}

/// Every joint whose name or other names hold the words, all of them without any.
///
/// ```
/// use knockon_trade::workings::torque::joints;
/// assert!(joints("faceplate").unwrap().iter().any(|row| row.name.contains("stem")));
/// assert!(joints("facplate").unwrap_err().contains("faceplate"));
/// ```
///
/// # Errors
/// When no joint is called so; in words, with the nearest that is.
pub fn joints(words: &str) -> Result<Vec<&'static JointRow>, String> {
    let wanted = crate::change::normal(words);
    let names = |row: &'static JointRow| std::iter::once(&row.name).chain(&row.say);
    let holds = |row: &&'static JointRow| {
        names(row).any(|name| {
            let name = crate::change::normal(name);
            wanted.split(' ').all(|word| name.contains(word))
        })
    };
    let found: Vec<&JointRow> = tables::joints().iter().filter(holds).collect();
    if !found.is_empty() {
        return Ok(found);
    }
    let all = || tables::joints().iter().flat_map(names).map(String::as_str);
    let words = all().flat_map(|name| name.split(' '));
    let near = nearest(&wanted, all().chain(words));
    Err(match near {
        Some(near) => format!("no joint is called `{wanted}`; did you mean `{near}`?"),
        None => format!("no joint is called `{wanted}`; without a name all are listed"),
    })
}

/// The row of that name; letter case and blanks do not matter.
fn named<T>(
    what: &str,
    name: &str,
    rows: &'static [T],
    of: impl Fn(&'static T) -> &'static String,
) -> Result<&'static T, String> {
    let bare = |text: &str| text.to_lowercase().replace([' ', '×', 'x'], "");
    rows.iter().find(|row| bare(of(row)) == bare(name)).ok_or_else(|| {
        let names: Vec<&str> = rows.iter().map(|row| of(row).as_str()).collect();
        format!("no {what} is called `{name}`; it is one of {}", names.join(", "))
    })
}
