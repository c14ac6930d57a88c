//! The combinations that are worth keeping: those that fewer than `depth` others are at least as good as in every way.
//!
//! With a depth of 1 that is the Pareto front. Source of the generalisation, by the name of a k-skyband: Papadias, Tao, Fu and
//! Seeger, ACM Transactions on Database Systems 30 (2005), 41–82 (from memory, unverified).

use std::cmp::Ordering;

use super::aim::Off;

/// What a combination is judged by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Worth {
    pub off: Off,
    pub touched: u32,
    pub price: f64,
}

/// A combination by its places in the three groups, and what it is worth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Member {
    pub worth: Worth,
    pub place: [u64; 3],
}

impl Member {
    /// Whether it is at least as good as another in every way and better in one; where all are equal, the one nearer to the middle of
    /// what is wanted counts as better, then the one that comes first.
    fn dominates(&self, other: &Member) -> bool {
        let (a, b) = (&self.worth, &other.worth);
        if a.off.miss > b.off.miss || a.touched > b.touched || a.price > b.price {
            return false;
        }
        a.off.miss < b.off.miss || a.touched < b.touched || a.price < b.price || self.before(other)
    }

    fn before(&self, other: &Member) -> bool {
        let by_middle = self.worth.off.middle.total_cmp(&other.worth.off.middle);
        by_middle.then(self.place.cmp(&other.place)) == Ordering::Less
    }
}

/// What rounding may make of a sum of squares: two of them that differ by less are not told apart by a bound.
const HAIR: f64 = 1e-12;

/// The members, by their miss.
#[derive(Debug)]
pub(super) struct Kept {
    depth: usize,
    members: Vec<Member>,
}

impl Kept {
    pub fn new(depth: usize) -> Self {
        Kept { depth: depth.max(1), members: Vec::new() }
    }

    pub fn members(&self) -> &[Member] {
        &self.members
    }

    /// Takes a combination in, unless `depth` members dominate it; those that too many then dominate go.
    pub fn offer(&mut self, new: Member) {
        if !new.worth.off.miss.is_finite() {
            return;
        }
        if self.members.iter().filter(|member| member.dominates(&new)).nth(self.depth - 1).is_some() {
            return;
        }
        let place = self.members.partition_point(|member| member.worth.off.miss <= new.worth.off.miss);
        self.members.insert(place, new);
        let all = &self.members;
        let stays =
            |it: &Member| all.iter().filter(|other| other.dominates(it)).nth(self.depth - 1).is_none();
        let keep: Vec<bool> = all.iter().map(|it| !new.dominates(it) || stays(it)).collect();
        let mut keep = keep.into_iter();
        self.members.retain(|_| keep.next().unwrap_or(true));
    }

    /// Whether `depth` members dominate everything that is worth no more than this in any way.
    #[inline]
    pub fn rules_out(&self, best: &Worth) -> bool {
        let mut better = 0;
        for member in &self.members {
            let it = &member.worth;
            // From here on none has less of a miss.
            if it.off.miss > best.off.miss {
                return false;
            }
            if it.touched > best.touched || it.price > best.price {
                continue;
            }
            let clear = it.off.miss < best.off.miss - HAIR * (1.0 + best.off.miss);
            if clear
                || it.touched < best.touched
                || it.price < best.price
                || it.off.middle < best.off.middle - HAIR * (1.0 + best.off.middle)
            {
                better += 1;
                if better == self.depth {
                    return true;
                }
            }
        }
        false
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn member(miss: f64, touched: u32, price: f64, place: u64) -> Member {
        let off = Off { miss, middle: miss };
        Member { worth: Worth { off, touched, price }, place: [place, 0, 0] }
    }

    #[test]
    fn what_one_other_is_better_than_in_every_way_goes() {
        let mut kept = Kept::new(1);
        for it in [member(4.0, 1, 0.0, 0), member(1.0, 2, 50.0, 1), member(5.0, 2, 10.0, 2)] {
            kept.offer(it);
        }
        let places: Vec<u64> = kept.members().iter().map(|it| it.place[0]).collect();
        assert_eq!(places, [1, 0]);
    }

    #[test]
    fn a_second_best_stays_where_two_are_wanted() {
        let mut kept = Kept::new(2);
        for it in [member(4.0, 1, 0.0, 0), member(5.0, 1, 0.0, 1), member(6.0, 1, 0.0, 2)] {
            kept.offer(it);
        }
        assert_eq!(kept.members().len(), 2);
        // Another that is better than both puts the worse of them out.
        kept.offer(member(1.0, 1, 0.0, 3));
        let places: Vec<u64> = kept.members().iter().map(|it| it.place[0]).collect();
        assert_eq!(places, [3, 0]);
    }

    #[test]
    fn twins_are_told_apart_by_their_place() {
        let mut kept = Kept::new(1);
        kept.offer(member(1.0, 1, 0.0, 7));
        kept.offer(member(1.0, 1, 0.0, 3));
        assert_eq!(kept.members(), [member(1.0, 1, 0.0, 3)]);
    }
}
