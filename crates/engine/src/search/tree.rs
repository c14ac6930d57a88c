//! Points in boxes in boxes: what no point of a box can be better than is known from the box.

/// A point of one group, with what it takes to be there.
#[derive(Clone, Copy, Debug)]
pub(super) struct Point {
    /// Where it is; a group with fewer axes leaves the last at 0.
    pub at: [f64; 3],
    pub touched: u32,
    pub price: f64,
    /// Height that it takes up on the steerer, mm.
    pub stacked: f64,
    /// Its combination's number.
    pub number: u64,
}

/// A box: no point in it is further out, touches less, costs less or stacks less.
#[derive(Clone, Copy, Debug)]
pub(super) struct Node {
    pub low: [f64; 3],
    pub high: [f64; 3],
    pub touched: u32,
    pub price: f64,
    pub stacked: f64,
    /// Its points, as a range of the tree's.
    pub start: usize,
    pub end: usize,
    /// The two boxes that it is made of, the second behind the first; 0 for a box of few points.
    pub children: [usize; 2],
}

impl Node {
    pub fn len(&self) -> u64 {
        (self.end - self.start) as u64
    }

    pub fn is_leaf(&self) -> bool {
        self.children[0] == 0
    }
}

/// So many points are looked at one by one.
const LEAF: usize = 6;
/// Boxes are split by price first where there are no more prices than this.
const FEW_PRICES: usize = 12;

/// All points of a group that go together with the same counterparts, in boxes.
#[derive(Debug)]
pub(super) struct Tree {
    pub points: Vec<Point>,
    pub nodes: Vec<Node>,
}

impl Tree {
    /// Sorts points into boxes. There must be at least one.
    pub fn new(mut points: Vec<Point>) -> Tree {
        let mut nodes = Vec::with_capacity(2 * points.len() / LEAF + 1);
        split(&mut points, 0, 0, &mut nodes);
        Tree { points, nodes }
    }
}

fn around(points: &[Point], start: usize) -> Node {
    let mut node = Node {
        low: [f64::INFINITY; 3],
        high: [f64::NEG_INFINITY; 3],
        touched: u32::MAX,
        price: f64::INFINITY,
        stacked: f64::INFINITY,
        start,
        end: start + points.len(),
        children: [0, 0],
    };
    for point in points {
        for axis in 0..3 {
            node.low[axis] = node.low[axis].min(point.at[axis]);
            node.high[axis] = node.high[axis].max(point.at[axis]);
        }
        node.touched = node.touched.min(point.touched);
        node.price = node.price.min(point.price);
        node.stacked = node.stacked.min(point.stacked);
    }
    node
}

/// Lays down the boxes of `points`, which begin at `start` among all, and returns the place of the outermost.
fn split(points: &mut [Point], start: usize, depth: usize, nodes: &mut Vec<Node>) -> usize {
    let place = nodes.len();
    let node = around(points, start);
    nodes.push(node);
    let most_touched = points.iter().map(|point| point.touched).max().unwrap_or(0);
    let mixed = most_touched > node.touched;
    if points.len() <= LEAF && !mixed {
        return place;
    }
    // First by what is touched, then by price, so that most boxes are exact about both; then by where the points are.
    let middle = if mixed {
        points.sort_unstable_by_key(|point| (point.touched, point.number));
        points.partition_point(|point| point.touched == node.touched)
    } else if let Some(price) = price_to_split_at(points, depth) {
        points.sort_unstable_by(|a, b| a.price.total_cmp(&b.price).then(a.number.cmp(&b.number)));
        points.partition_point(|point| point.price < price)
    } else {
        let spread = |axis: &usize| node.high[*axis] - node.low[*axis];
        let axis = (0..3).max_by(|a, b| spread(a).total_cmp(&spread(b))).unwrap_or(0);
        let middle = points.len() / 2;
        points.select_nth_unstable_by(middle, |a, b| {
            a.at[axis].total_cmp(&b.at[axis]).then(a.number.cmp(&b.number))
        });
        middle
    };
    let (left, right) = points.split_at_mut(middle);
    let first = split(left, start, depth + 1, nodes);
    let second = split(right, start + middle, depth + 1, nodes);
    nodes[place].children = [first, second];
    place
}

/// A price that some points are below and some not; `None` where they all cost the same, or where it is better to look at places first.
fn price_to_split_at(points: &[Point], depth: usize) -> Option<f64> {
    let mut prices: Vec<f64> = points.iter().map(|point| point.price).collect();
    prices.sort_unstable_by(f64::total_cmp);
    prices.dedup();
    if prices.len() < 2 || (prices.len() > FEW_PRICES && !depth.is_multiple_of(3)) {
        return None;
    }
    Some(prices[prices.len() / 2])
}
