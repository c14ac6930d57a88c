//! Which change did what: the Shapley value.

/// Most changes that are attributed: 2¹⁶ evaluations.
pub const MOST_PLAYERS: usize = 16;

/// Shapley shares of `players` in each of `N` outcomes, exact over all subsets.
///
/// `value(mask)` is the outcome vector when the players whose bits are set take part. The shares of one outcome add
/// up to `value(all) − value(none)` and do not depend on the order of the players.
/// Source: Shapley, "A value for n-person games", 1953 (citation from memory).
///
/// ```
/// use knockon_engine::attribution::shapley;
/// // Two players alone worth 100 and 200, together 700: each gets half of the surplus of 400.
/// let shares = shapley(2, |mask| [[0.0, 100.0, 200.0, 700.0][mask]]);
/// assert_eq!(shares, vec![[300.0], [400.0]]);
/// ```
///
/// # Panics
/// When `players` exceeds [`MOST_PLAYERS`].
pub fn shapley<const N: usize>(players: usize, mut value: impl FnMut(usize) -> [f64; N]) -> Vec<[f64; N]> {
    assert!(players <= MOST_PLAYERS, "at most {MOST_PLAYERS} changes can be attributed");
    let weights = weights(players);
    let mut shares = vec![[0.0; N]; players];
    for mask in 0..1_usize << players {
        let outcome = value(mask);
        let size = mask.count_ones() as usize;
        for (player, share) in shares.iter_mut().enumerate() {
            // A coalition with the player counts for it, one without it counts against.
            let weight = if mask >> player & 1 == 1 { weights[size - 1] } else { -weights[size] };
            for (total, x) in share.iter_mut().zip(&outcome) {
                *total += weight * x;
            }
        }
    }
    shares
}

/// `weights[s]` = s!·(n − 1 − s)!/n!, the weight of a coalition of `s` others that a player joins; the last entry is
/// never used with a player outside the coalition.
fn weights(players: usize) -> Vec<f64> {
    let mut weights = vec![0.0; players + 1];
    let mut weight = 1.0 / players.max(1) as f64;
    for (size, slot) in weights.iter_mut().enumerate().take(players) {
        *slot = weight;
        weight *= (size + 1) as f64 / (players - 1 - size).max(1) as f64;
    }
    weights
}
