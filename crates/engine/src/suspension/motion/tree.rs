//! Which joints carry the bodies, and which close loops.

use crate::suspension::linkage::{JointKind, Layout, MOST_BODIES, Stuck};

/// Most bodies that move, which is also how many coordinates and equations there can be.
pub const MOST: usize = MOST_BODIES - 1;

/// A joint by which a body hangs on one that is nearer to the front triangle. It has one coordinate.
#[derive(Clone, Copy, Debug)]
pub struct Branch {
    /// Its place in the layout's joints.
    pub joint: usize,
    /// The body that hangs on it.
    pub body: usize,
    /// The body that it hangs on.
    pub parent: usize,
    /// Its point.
    pub point: usize,
    /// The line's direction where it slides.
    pub slide: Option<usize>,
    /// Whether the body is the joint's second: the one that slides along the other's line.
    pub outward: bool,
}

/// A joint of two bodies that both hang on others already: two equations.
#[derive(Clone, Copy, Debug)]
pub struct Closure {
    /// Its place in the layout's joints.
    pub joint: usize,
    /// The bodies that it joins.
    pub bodies: [usize; 2],
    /// Its point.
    pub point: usize,
    /// The line's direction where it slides.
    pub slide: Option<usize>,
}

/// A layout's joints, sorted. The breadth-first tree has the shortest chains from the front triangle to every body, hence
/// the fewest terms in every equation.
#[derive(Clone, Copy, Debug)]
pub struct Tree {
    branches: [Branch; MOST],
    closures: [Closure; MOST],
    /// How many bodies move.
    pub count: usize,
    closed: usize,
    /// Per body the coordinates that move it, a bit each.
    pub path: [u16; MOST_BODIES],
}

impl Tree {
    /// Sorts the joints of `layout`.
    ///
    /// # Errors
    /// Where the layout cannot be a linkage that the shock alone decides; see [`Layout::check`].
    pub fn new(layout: &Layout) -> Result<Self, Stuck> {
        let bodies = layout.bodies;
        if bodies > MOST_BODIES {
            return Err(Stuck::TooMany { bodies });
        }
        named(layout)?;
        let nothing = Branch { joint: 0, body: 0, parent: 0, point: 0, slide: None, outward: true };
        let open = Closure { joint: 0, bodies: [0, 0], point: 0, slide: None };
        let mut tree = Tree {
            branches: [nothing; MOST],
            closures: [open; MOST],
            count: 0,
            closed: 0,
            path: [0; MOST_BODIES],
        };
        let mut order = [0; MOST_BODIES];
        let (mut reached, mut carrying) = (1_u16, 0_u64);
        let mut next = 0;
        while next <= tree.count && next < bodies {
            let parent = order[next];
            next += 1;
            for (index, joint) in layout.joints.iter().enumerate() {
                let [first, second] = joint.bodies;
                let body = match parent {
                    it if it == first => second,
                    it if it == second => first,
                    _ => continue,
                };
                if reached >> body & 1 == 1 {
                    continue;
                }
                reached |= 1 << body;
                carrying |= 1 << index;
                tree.path[body] = tree.path[parent] | 1 << tree.count;
                tree.branches[tree.count] = Branch {
                    joint: index,
                    body,
                    parent,
                    point: joint.point,
                    slide: direction(joint.kind),
                    outward: body == second,
                };
                tree.count += 1;
                order[tree.count] = body;
            }
        }
        if let Some(body) = (1..bodies).find(|body| reached >> body & 1 == 0) {
            return Err(Stuck::Loose { body });
        }
        #[allow(clippy::cast_possible_wrap, reason = "nine bodies, and a joint per pair of them, at most")]
        let freedoms = 3 * tree.count as i64 - 2 * layout.joints.len() as i64;
        if freedoms != 1 {
            return Err(Stuck::Freedoms { freedoms });
        }
        let closing = layout.joints.iter().enumerate().filter(|(index, _)| carrying >> index & 1 == 0);
        for (index, joint) in closing {
            tree.closures[tree.closed] = Closure {
                joint: index,
                bodies: joint.bodies,
                point: joint.point,
                slide: direction(joint.kind),
            };
            tree.closed += 1;
        }
        Ok(tree)
    }

    /// The joints that carry a body, each after those that carry its parent.
    pub fn branches(&self) -> &[Branch] {
        &self.branches[..self.count]
    }

    /// The joints that close a loop.
    pub fn closures(&self) -> &[Closure] {
        &self.closures[..self.closed]
    }
}

fn direction(kind: JointKind) -> Option<usize> {
    match kind {
        JointKind::Pivot => None,
        JointKind::Slide { direction } => Some(direction),
    }
}

/// Every body that is named exists, and no pair is joined twice.
fn named(layout: &Layout) -> Result<(), Stuck> {
    let mut pairs = [0_u16; MOST_BODIES];
    for (index, joint) in layout.joints.iter().enumerate() {
        let [first, second] = joint.bodies;
        let known = first < layout.bodies && second < layout.bodies && first != second;
        if !known || pairs[first] >> second & 1 == 1 {
            return Err(Stuck::Misplaced { joint: Some(index) });
        }
        pairs[first] |= 1 << second;
        pairs[second] |= 1 << first;
    }
    let [first, second] = layout.eyes;
    let others = layout.idlers.iter().map(|idler| idler.mount.body).chain(layout.caliper);
    let unknown = others.chain([first.body, second.body, layout.axle]).any(|body| body >= layout.bodies);
    // A shock with both ends on one body drives nothing.
    if unknown || first.body == second.body {
        return Err(Stuck::Misplaced { joint: None });
    }
    Ok(())
}
