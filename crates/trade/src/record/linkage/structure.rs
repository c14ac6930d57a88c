//! Which part of a linkage hangs on which, and in how many ways they can move.

use super::{FRAME, Linkage};

impl Linkage {
    /// Parts that no chain of pivots joins to the front triangle.
    pub(super) fn loose(&self) -> Vec<&str> {
        let mut held = vec![FRAME];
        loop {
            let next = self.points.iter().filter(|point| point.is_joint()).find_map(|point| {
                let [a, b] = [point.on[0].as_str(), point.on[1].as_str()];
                match (held.contains(&a), held.contains(&b)) {
                    (true, false) => Some(b),
                    (false, true) => Some(a),
                    _ => None,
                }
            });
            match next {
                Some(part) => held.push(part),
                None => return self.parts().into_iter().filter(|part| !held.contains(part)).collect(),
            }
        }
    }

    /// In how many ways the parts can move with the shock taken out: three for each part beside the front triangle, less
    /// two for each joint (the count of Grübler and Kutzbach for a plane mechanism, from memory, unverified).
    pub(super) fn ways_to_move(&self) -> i64 {
        let joints = self.points.iter().filter(|point| point.is_joint()).count();
        let count = |n: usize| i64::try_from(n).unwrap_or(i64::MAX / 4);
        3 * (count(self.parts().len()) - 1) - 2 * count(joints)
    }

    /// Two joints between the same two parts, which hold each other fast.
    pub(super) fn doubled(&self) -> Option<(usize, usize)> {
        let same = |a: &[String], b: &[String]| a.iter().all(|part| b.contains(part));
        (0..self.points.len()).find_map(|second| {
            (0..second)
                .find(|first| {
                    let (a, b) = (&self.points[*first], &self.points[second]);
                    a.is_joint() && b.is_joint() && same(&a.on, &b.on)
                })
                .map(|first| (first, second))
        })
    }
}
