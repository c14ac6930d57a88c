//! An invented bike with every heading filled in. Its stack is about 12 mm more than its other figures allow.

/// The record of the bike.
pub const LARCH: &str = r#"name = "Larch 150"
size = "M"
kind = "full suspension"
[chart]
stack = 628
reach = 455
head_angle = 64.5
seat_angle = 77.0
head_tube = 115
chainstay = 440
bottom_bracket_drop = 28
wheelbase = { value = 1222, known = "measured", with = "tape", tolerance = 3 }
[fork]
travel = 160
axle_to_crown = 556
axle_to_crown_measured = "along axis"
offset = 44
axle_to_crown_allowed = [541, 566]
[headset]
upper_stack = 12
lower_stack = 1
angle = 0
[cockpit]
steerer_length = 195
spacers_below = 20
spacers_above = 5
spacers_allowed = 40
top_cap_gap = 3
[stem]
length = 50
angle = 0
clamp_height = 40
bar_clamp = 31.8
[bar]
rise = 25
width = 780
back_sweep = 8
up_sweep = 5
roll = 0
bend = 90
hand_inset = 60
clamp = 31.8
[wheel.front]
tyre = "61-622"
[wheel.rear]
tyre = "61-622"
[saddle]
height = 735
setback = 60
[crank]
length = 170
[shock]
eye_to_eye = 210
stroke = 55
[rear]
travel = 150
"#;
