mod larch;
use knockon_trade::build::Build;
use knockon_trade::record::parse;
#[test]
fn probe() {
    let mut seed = 12345_u64;
    let mut rnd = || {
        seed = seed.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        ((seed >> 33) as f64) / (1u64 << 31) as f64
    };
    let full = larch::LARCH.replace("stack = 628","stack = 616\nfront_centre = 783\neffective_top_tube = 597\nbottom_bracket_height = 344\ntrail = 128")
      .replace("wheelbase = { value = 1222, known = \"measured\", with = \"tape\", tolerance = 3 }","wheelbase = 1223");
    for errors in [0, 1] {
        for size in [30.0] {
            for sharp in [false, true] {
                let (mut bad, mut n) = (0, 0);
                let mut ex = String::new();
                for _ in 0..1000 {
                    let mut record = parse("x", &full).unwrap().record;
                    let keys: Vec<&'static str> = record
                        .facts
                        .keys()
                        .copied()
                        .filter(|k| {
                            k.starts_with("chart.") || *k == "fork.axle_to_crown" || *k == "fork.offset"
                        })
                        .collect();
                    for k in &keys {
                        if rnd() < 0.3 {
                            record.facts.remove(k);
                        }
                    }
                    let keys: Vec<&'static str> = record
                        .facts
                        .keys()
                        .copied()
                        .filter(|k| {
                            (k.starts_with("chart.") || *k == "fork.axle_to_crown") && !k.contains("angle")
                        })
                        .collect();
                    let mut told = vec![];
                    for _ in 0..errors {
                        if keys.is_empty() {
                            continue;
                        }
                        let k = keys[(rnd() * keys.len() as f64) as usize];
                        let by = (rnd() * 2.0 - 1.0) * size;
                        told.push((k, by));
                        record.facts.get_mut(k).unwrap().value += by;
                    }
                    if sharp {
                        for f in record.facts.values_mut() {
                            f.uncertainty = 0.0;
                        }
                    }
                    n += 1;
                    if let Err(e) = Build::new(&record) {
                        bad += 1;
                        ex = format!("{e:?} {told:?} {:?}", record.facts.keys().collect::<Vec<_>>());
                    }
                }
                println!(
                    "PROBE errors {errors} size {size} sharp {sharp}: {bad} of {n} {}",
                    &ex[..ex.len().min(260)]
                );
            }
        }
    }
}
