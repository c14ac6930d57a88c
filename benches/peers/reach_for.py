"""Ten million combinations with NumPy: the peer of `cargo bench -p knockon-engine --bench search`.

Reads the bike, the lists to choose from and the aims as JSON from standard input; writes the seconds that it took and then one line for
each combination that fewer than `depth` others are at least as good as: squared miss, things touched, price.

Needs NumPy (`python3 -m venv peers && peers/bin/pip install numpy`, then `PYTHON=peers/bin/python cargo bench …`).
"""

import json
import sys
import time

import numpy as np


def product(*axes):
    """Every value of each axis with every one of the others, flat."""
    return [grid.ravel() for grid in np.meshgrid(*axes, indexing="ij")]


def with_as_it_is(now, values):
    """The value as it is first, and whether each is touched."""
    values = np.concatenate([[now], values])
    return values, (np.arange(len(values)) > 0).astype(np.int64)


def stand(bike, turn):
    """Where the headset's top is, the directions of the steerer, and the turn of the frame on the ground, for an angled headset."""
    head = bike["head_angle"]
    axis = np.array([np.cos(head), -np.sin(head)])
    top = np.array([bike["reach"], bike["stack"]])
    middle = top + axis * bike["head_tube"] / 2
    c, s = np.cos(-turn), np.sin(-turn)
    axis = np.array([axis[0] * c - axis[1] * s, axis[0] * s + axis[1] * c])
    top = middle - axis * bike["head_tube"] / 2
    ahead = np.array([-axis[1], axis[0]])
    front = top + axis * (bike["head_tube"] + bike["lower_stack"] + bike["axle_to_crown"]) + ahead * bike["fork_offset"]
    drop = bike["bottom_bracket_drop"]
    rear = np.array([-np.sqrt(bike["chainstay"] ** 2 - drop**2), drop])
    apart = front - rear
    phi = np.arcsin((bike["front_radius"] - bike["rear_radius"]) / np.hypot(*apart)) - np.arctan2(apart[1], apart[0])
    return top, axis, ahead, phi


def main():
    given = json.load(sys.stdin)
    begun = time.perf_counter()
    bike, depth = given["bike"], given["depth"]
    spacers, spacers_touched = with_as_it_is(bike["spacers_below"], given["spacers"])
    lengths, angles = product(given["lengths"], np.radians(given["angles"]))
    lengths, stem_touched = with_as_it_is(bike["stem_length"], lengths)
    angles = np.concatenate([[bike["stem_angle"]], angles])
    below, stem = product(spacers, np.arange(len(lengths)))
    mount_touched = (spacers_touched[:, None] + stem_touched[None, :]).ravel()
    mount_price = np.broadcast_to(stem_touched * given["stem_price"], (len(spacers), len(lengths))).ravel()
    up = below + bike["stem_clamp_height"] / 2 + lengths[stem] * np.sin(angles[stem])
    forward = lengths[stem] * np.cos(angles[stem])
    above = np.where(mount_touched > 0, given["above"], bike["spacers_above"])
    under = bike["lower_stack"] + bike["head_tube"] + bike["upper_stack"] - bike["top_cap_gap"]
    fits = under + below + bike["stem_clamp_height"] + above <= bike["steerer_length"] + 1e-6
    up, forward, mount_touched, mount_price = (it[fits] for it in (up, forward, mount_touched, mount_price))

    rises, rise_touched = with_as_it_is(bike["bar_rise"], given["rises"])
    widths, width_touched = with_as_it_is(bike["bar_width"], given["widths"])
    rolls, roll_touched = with_as_it_is(bike["bar_roll"], np.radians(given["rolls"]))
    rise, width, roll = product(rises, widths, rolls)
    hand_touched = sum(product(rise_touched, width_touched, roll_touched))
    hand_price = sum(product(rise_touched * given["bar_price"], width_touched * given["width_price"], roll_touched * 0.0))
    out = width / 2 - bike["hand_inset"]
    rise = rise - bike["hand_inset"] * np.tan(bike["bar_up_sweep"])
    back = (out - bike["bar_bend"]) * np.tan(bike["bar_back_sweep"]) - bike["bar_reach"]

    kept = []
    turns, turn_touched = with_as_it_is(bike["headset_angle"], np.radians(given["turns"]))
    for turn, touched in zip(turns, turn_touched):
        lean = turn - bike["headset_angle"]
        top, axis, ahead, phi = stand(bike, lean)
        mount_x = top[0] - axis[0] * (bike["upper_stack"] + up) + ahead[0] * forward
        mount_y = top[1] - axis[1] * (bike["upper_stack"] + up) + ahead[1] * forward
        sin, cos = np.sin(roll - lean), np.cos(roll - lean)
        hand_x, hand_y = -sin * rise - cos * back, cos * rise - sin * back
        x = mount_x[:, None] + hand_x[None, :]
        y = mount_y[:, None] + hand_y[None, :]
        values = {
            "grip_reach": x * np.cos(phi) - y * np.sin(phi),
            "grip_stack": x * np.sin(phi) + y * np.cos(phi),
            "grip_width": 2 * out[None, :],
            "head_angle": bike["head_angle"] + lean - phi,
        }
        miss = np.zeros_like(x)
        for aim in given["aims"]:
            least, most = aim["range"]
            value = values[aim["quantity"]]
            miss += (np.maximum(np.maximum(least - value, value - most), 0) / aim["scale"]) ** 2
        all_touched = (mount_touched[:, None] + hand_touched[None, :] + touched).ravel()
        price = (mount_price[:, None] + hand_price[None, :] + touched * given["headset_price"]).ravel()
        miss = miss.ravel()
        # Of the combinations that touch and cost the same only the best few can be kept.
        cells = all_touched * 100000 + np.round(price).astype(np.int64)
        for cell in np.unique(cells):
            of_cell = np.flatnonzero(cells == cell)
            if all_touched[of_cell[0]] > given["most"]:
                continue
            some = miss[of_cell]
            best = some if len(some) <= depth else np.partition(some, depth - 1)[:depth]
            kept.extend((value, int(all_touched[of_cell[0]]), float(price[of_cell[0]])) for value in best)
    kept.sort()

    def dominates(a, b):
        return a[0] <= b[0] and a[1] <= b[1] and a[2] <= b[2] and a != b

    kept = [it for it in kept if sum(dominates(other, it) for other in kept) < depth]
    print(time.perf_counter() - begun)
    for miss, touched, price in kept:
        print(repr(float(miss)), touched, price)


main()
