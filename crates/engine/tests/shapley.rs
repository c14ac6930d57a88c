//! Shapley shares against two textbook games, and the properties that define the value.

use knockon_engine::attribution::shapley;
use proptest::prelude::*;

/// Source: the glove game of the encyclopaedia article "Shapley value": players 1 and 2 hold a right glove, player 3 a left
/// one; a pair is worth 1. Shares 1/6, 1/6 and 2/3.
#[test]
fn glove_game() {
    let pair = |mask: usize| f64::from(mask & 0b011 != 0 && mask & 0b100 != 0);
    let shares = shapley(3, |mask| [pair(mask)]);
    for (share, expected) in shares.iter().zip([1.0 / 6.0, 1.0 / 6.0, 2.0 / 3.0]) {
        assert!((share[0] - expected).abs() < 1e-15, "{share:?}");
    }
}

/// Source: lecture slides by Moretti and others on cooperative games: two players worth 100 and 200 alone and 700 together
/// get 300 and 400.
#[test]
fn two_players() {
    assert_eq!(shapley(2, |mask| [[0.0, 100.0, 200.0, 700.0][mask]]), vec![[300.0], [400.0]]);
}

/// Any game of 1 to 6 players and an order of theirs.
fn game() -> impl Strategy<Value = (usize, Vec<f64>, Vec<usize>)> {
    (1_usize..=6).prop_flat_map(|players| {
        let order: Vec<usize> = (0..players).collect();
        (Just(players), prop::collection::vec(-1e3..1e3, 1 << players), Just(order).prop_shuffle())
    })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// Efficiency: the shares add up to what the whole brings over nothing.
    #[test]
    fn shares_add_up((players, values, _) in game()) {
        let total: f64 = shapley(players, |mask| [values[mask]]).iter().map(|share| share[0]).sum();
        prop_assert!((total - (values[(1 << players) - 1] - values[0])).abs() < 1e-9);
    }

    /// Symmetry: players that change places take their shares along.
    #[test]
    fn order_does_not_matter((players, values, order) in game()) {
        let renamed = |mask: usize| {
            (0..players).filter(|at| mask >> at & 1 == 1).map(|at| 1 << order[at]).sum::<usize>()
        };
        let straight = shapley(players, |mask| [values[mask]]);
        let shuffled = shapley(players, |mask| [values[renamed(mask)]]);
        for (at, share) in shuffled.iter().enumerate() {
            prop_assert!((share[0] - straight[order[at]][0]).abs() < 1e-9);
        }
    }

    /// A player who adds the same to everybody gets exactly that; one who adds nothing gets nothing.
    #[test]
    fn who_adds_the_same_to_everybody_gets_that((players, values, _) in game(), worth in -1e3..1e3) {
        let rest = (1 << players) - 1;
        let shares = shapley(players + 1, |mask| [values[mask & rest] + if mask > rest { worth } else { 0.0 }]);
        prop_assert!((shares[players][0] - worth).abs() < 1e-9);
    }

    /// The value by its definition: the mean, over all orders in which the players may come, of what each adds then.
    #[test]
    fn it_is_the_mean_over_all_orders(values in prop::collection::vec(-1e3..1e3, 8_usize)) {
        let orders = [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]];
        let shares = shapley(3, |mask| [values[mask]]);
        for (player, share) in shares.iter().enumerate() {
            let added: f64 = orders
                .iter()
                .map(|order| {
                    let before: usize =
                        order.iter().take_while(|other| **other != player).map(|other| 1 << other).sum();
                    values[before | 1 << player] - values[before]
                })
                .sum();
            prop_assert!((share[0] - added / 6.0).abs() < 1e-9);
        }
    }
}
