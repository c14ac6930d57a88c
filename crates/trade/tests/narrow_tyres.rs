//! Tyres narrower than 28 mm stand 2.5 mm higher than they are wide, on an invented bike.

use knockon_engine::bike::Parameter;
use knockon_trade::build::Build;
use knockon_trade::record::parse;

#[test]
fn narrow_tyres_have_the_radius_that_their_marking_says() {
    // ISO 5775-1 (older edition, as summarised in public encyclopaedias): below 28 mm the section stands 2.5 mm higher
    // than the marking. So 26-622 has 311 + 28.5 mm, as high as a tyre marked 28.5; the marking tells the two apart.
    for (tyre, radius) in [("23-622", 336.5), ("26-622", 339.5), ("27-622", 340.5), ("28-622", 339.0)] {
        let text =
            format!("kind = \"rigid\"\n[wheel.front]\ntyre = \"{tyre}\"\n[wheel.rear]\ntyre = \"{tyre}\"\n");
        let build = Build::new(&parse(tyre, &text).expect("a record").record).expect("a possible bike");
        // The wide priors on the rest of the chart pull by some thousandths.
        for parameter in [Parameter::FrontRadius, Parameter::RearRadius] {
            let found = build.bike.get(parameter).value;
            assert!((found - radius).abs() < 0.1, "{tyre}: {found}");
        }
    }
}
