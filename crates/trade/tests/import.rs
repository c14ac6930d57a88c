//! Pasted geometry tables, all invented, read from end to end.

use knockon_trade::import::{Import, Options, import, report};

fn read(text: &str) -> Import {
    import(text, &Options::default())
}

/// The value at a path of one size's record, as it is written.
fn at(import: &Import, size: &str, path: &str) -> Option<toml::Value> {
    let record = import.records.iter().find(|r| r.size == size)?;
    let mut value: toml::Value = toml::from_str(&record.toml).expect("the record is TOML");
    for key in path.split('.') {
        value = value.get(key)?.clone();
    }
    Some(value)
}

fn number(import: &Import, size: &str, path: &str) -> f64 {
    let value =
        at(import, size, path).unwrap_or_else(|| panic!("{size} {path} is missing:\n{}", report(import)));
    value.as_float().or(value.as_integer().map(|i| i as f64)).expect("a number")
}

fn text(import: &Import, size: &str, path: &str) -> String {
    at(import, size, path).and_then(|v| v.as_str().map(str::to_owned)).expect("a text")
}

fn clean(import: &Import) {
    assert!(import.not_understood.is_empty(), "{}", report(import));
}

fn why(import: &Import, line: usize) -> &str {
    let found = import.not_understood.iter().find(|l| l.number == line);
    &found.unwrap_or_else(|| panic!("line {line} is not reported:\n{}", report(import))).why
}

#[test]
fn english_tabs() {
    let table = "Invented trail bike\n\nSize\tS\tM\tL\n\
        Reach (mm)\t430\t455\t480\nStack (mm)\t612\t621\t630\n\
        Head tube angle °\t64.5\t64.5\t64.0\nEffective seat tube angle °\t77.0\t77\t76.5\n\
        Head tube length (mm)\t100\t110\t120\nChainstay length (mm)\t435\t435\t435\n\
        BB drop (mm)\t30\t30\t30\nBB height (mm)\t345\t345\t345\nWheelbase (mm)\t1190\t1218\t1247\n\
        Front centre (mm)\t760\t787\t816\nEffective top tube (mm)\t570\t597\t626\n\
        Seat tube length (mm)\t400\t420\t440\nStandover height (mm)\t710\t715\t720\nTrail (mm)\t128\t128\t131\n\
        Fork travel (mm)\t150\t150\t150\nAxle to crown (mm)\t561\t561\t561\nFork offset (mm)\t44\t44\t44\n\
        Rear travel (mm)\t140\t140\t140\nStem length (mm)\t40\t50\t50\nHandlebar width (mm)\t760\t780\t780\n\
        Crank length (mm)\t165\t170\t170\nFront tyre\t61-622\t61-622\t61-622\nRear tyre\t61-584\t61-584\t61-622\n";
    let found = read(table);
    clean(&found);
    assert_eq!(found.records.len(), 3);
    let medium = &found.records[1];
    let back = knockon_trade::record::parse("m.toml", &medium.toml).expect("the record reads back");
    assert_eq!(back.record.fact("chart.reach").map(|fact| fact.value), Some(455.0));
    assert!(found.remarks.is_empty(), "{}", report(&found));
    assert_eq!(medium.file_stem, "invented-trail-bike-m");
    assert_eq!(
        medium.toml,
        "name = \"Invented trail bike\"\nsize = \"M\"\n\n[chart]\nstack = 621\nreach = 455\nhead_angle = 64.5\n\
         seat_angle = 77\nhead_tube = 110\nchainstay = 435\nbottom_bracket_drop = 30\n\
         bottom_bracket_height = 345\nwheelbase = 1218\nfront_centre = 787\neffective_top_tube = 597\n\
         seat_tube = 420\nstandover = 715\ntrail = 128\n\n[fork]\ntravel = 150\naxle_to_crown = 561\noffset = 44\n\n\
         [rear]\ntravel = 140\n\n[stem]\nlength = 50\n\n[bar]\nwidth = 780\n\n[crank]\nlength = 170\n\n\
         [wheel.front]\ntyre = \"61-622\"\n\n[wheel.rear]\ntyre = \"61-584\"\n"
    );
    assert!(found.records[0].toml.contains("seat_angle = 77.0\n"), "the decimal that was given stays");
}

#[test]
fn german_semicolons_and_decimal_commas() {
    let table = "Erfundenes Tourenrad;48;52\nSitzrohrlänge (mm);480,0;520,0\nLenkwinkel;71,5°;72,0°\n\
        Sitzwinkel effektiv;74°30';74°\nOberrohrlänge horizontal;545;560\nKettenstrebenlaenge;450;450\n\
        Tretlagerabsenkung;70;68\nNachlauf;65;62\nGabelvorbiegung;45;45\nÜberstandshöhe in cm;74,5;78\n";
    // Figures alone in the heading line could be a measure, so they are not taken as sizes.
    let doubtful = read(table);
    assert!(why(&doubtful, 1).contains("write \"Size\""));

    let found = read(&table.replace("Erfundenes Tourenrad;48", "Rahmengröße;48"));
    clean(&found);
    assert_eq!(number(&found, "48", "chart.head_angle"), 71.5);
    assert_eq!(number(&found, "48", "chart.seat_angle"), 74.5);
    assert_eq!(number(&found, "52", "chart.effective_top_tube"), 560.0);
    assert_eq!(number(&found, "52", "chart.chainstay"), 450.0);
    assert_eq!(number(&found, "48", "fork.offset"), 45.0);
    assert_eq!(text(&found, "48", "chart.standover"), "74.5 cm");
    assert!(found.records[0].toml.contains("seat_tube = 480.0\n"));
    assert!(found.records[0].toml.contains("name = \"Unnamed bike\""));
}

#[test]
fn french_columns_by_spaces() {
    let table = "Vélo inventé\n\
        Taille                          S          M\n\
        A – Tube de selle (mm)          440        470\n\
        B – Angle de direction          65,0\u{a0}°     65,5\u{a0}°\n\
        C – Angle de selle effectif     75°        74,5°\n\
        D – Empattement                 1\u{202f}180     1195\n\
        E – Longueur des bases          440 mm     440 mm\n\
        F – Chasse                      110        –\n\
        G – Hauteur d’enjambement       700        720\n\
        H – Débattement fourche         140        140\n";
    let found = read(table);
    assert_eq!(number(&found, "S", "chart.seat_tube"), 440.0);
    assert_eq!(number(&found, "M", "chart.head_angle"), 65.5);
    assert_eq!(number(&found, "S", "chart.trail"), 110.0);
    assert_eq!(at(&found, "M", "chart.trail"), None);
    assert_eq!(number(&found, "M", "chart.standover"), 720.0);
    assert_eq!(number(&found, "M", "chart.wheelbase"), 1195.0);
    // A space among the digits is not put right in silence.
    assert_eq!(found.not_understood.len(), 1);
    assert!(found.not_understood[0].text.contains("1 180"));
    assert!(found.records[0].toml.starts_with("name = \"Vélo inventé\"\n"));
    assert_eq!(found.records[0].file_stem, "velo-invente-s");
}

#[test]
fn italian_commas_with_quotes() {
    let table = "\u{feff}Geometria,Unità,\"S\",\"M\"\r\nAngolo di sterzo,°,\"68,5\",\"69,0\"\r\n\
        Tubo orizzontale virtuale,mm,560,\"575,5\"\r\nInterasse,mm,1050,1066\r\nAvancorsa,mm,80,78\r\n\
        Lunghezza pedivelle,mm,170,\"172,5\"\r\nTubo orizzontale,mm,550,565\r\nPneumatici,,40-622,40-622\r\n";
    let found = read(table);
    assert_eq!(number(&found, "S", "chart.head_angle"), 68.5);
    assert_eq!(number(&found, "M", "chart.effective_top_tube"), 575.5);
    assert_eq!(number(&found, "M", "chart.wheelbase"), 1066.0);
    assert_eq!(number(&found, "M", "crank.length"), 172.5);
    assert_eq!(text(&found, "S", "wheel.front.tyre"), "40-622");
    assert_eq!(text(&found, "S", "wheel.rear.tyre"), "40-622");
    assert_eq!(found.not_understood.len(), 1);
    assert!(why(&found, 7).contains("tubo orizzontale virtuale"));
}

#[test]
fn spanish_turned_round() {
    let table = "Bicicleta inventada\nTalla;Alcance;Stack;Ángulo de dirección;Ángulo de sillín;Vainas;Color\n\
        S;430;600;66,0;75,5;430;rojo\nM;450;610;66,0;75,5;430;azul\nL;470;620;66,5;75,0;432;azul\n";
    let found = read(table);
    assert_eq!(found.records.len(), 3);
    assert_eq!(number(&found, "M", "chart.reach"), 450.0);
    assert_eq!(number(&found, "L", "chart.head_angle"), 66.5);
    assert_eq!(number(&found, "S", "chart.chainstay"), 430.0);
    assert!(found.records[0].toml.contains("Bicicleta inventada"));
    assert_eq!(found.not_understood.len(), 1);
    assert_eq!(found.not_understood[0].text, "Color: rojo | azul | azul");
}

#[test]
fn turned_round_with_units_below_the_headings() {
    let table = "A\tB\tC\nSize\tStack\tReach\tHead angle\n\tmm\tcm\t°\nS\t600\t43.5\t66\nM\t610\t45.0\t66\n";
    let found = read(table);
    clean(&found);
    assert_eq!(number(&found, "S", "chart.stack"), 600.0);
    assert_eq!(text(&found, "M", "chart.reach"), "45.0 cm");
    assert_eq!(number(&found, "M", "chart.head_angle"), 66.0);
}

#[test]
fn inches_stay_inches() {
    let table = "Size\tS\tM\nReach\t17 3/4\"\t17.9 in\nStack (in)\t24¼\t24.5\nStem length (mm)\t2\"\t50\n";
    let found = read(table);
    assert_eq!(text(&found, "S", "chart.reach"), "17.75 in");
    assert_eq!(text(&found, "M", "chart.reach"), "17.9 in");
    assert_eq!(text(&found, "S", "chart.stack"), "24.25 in");
    assert_eq!(text(&found, "M", "chart.stack"), "24.5 in");
    // Heading and cell contradict each other.
    assert_eq!(at(&found, "S", "stem.length"), None);
    assert!(why(&found, 4).contains("heading says mm"));
    assert!(found.remarks.iter().any(|r| r.text.contains("17.75 in")));
}

#[test]
fn a_heading_line_without_its_corner_is_moved() {
    let found = read("S  M  L\nStack  600  610  620\nReach  430  450  470\n");
    clean(&found);
    assert_eq!(number(&found, "S", "chart.stack"), 600.0);
    assert_eq!(number(&found, "L", "chart.reach"), 470.0);
    // With a column of units at the end the same shape means something else.
    let units = read("My bike\tS\tM\nStack\t600\t610\tmm\nReach\t430\t450\tmm\n");
    assert!(units.records.is_empty(), "{}", report(&units));
    assert!(why(&units, 2).contains("More cells"));
}

#[test]
fn unquoted_decimal_commas_between_commas_are_refused() {
    let found = read("Size,S,M\nReach,455,5,470,0\nStack,620,631\n");
    assert_eq!(at(&found, "S", "chart.reach"), None);
    assert_eq!(number(&found, "M", "chart.stack"), 631.0);
    assert!(why(&found, 2).contains("decimal comma"));
}

#[test]
fn ragged_rows() {
    let short = read("Size;S;M;L\nReach;430;450\nStack;600;610;620\n");
    clean(&short);
    assert_eq!(number(&short, "M", "chart.reach"), 450.0);
    assert_eq!(at(&short, "L", "chart.reach"), None);
    assert!(short.remarks.iter().any(|r| r.number == Some(2)));
    // Between spaces nobody can tell which cell is the missing one.
    let spaces = read("Size    S    M    L\nReach   430  450\nStack   600  610  620\n");
    assert_eq!(at(&spaces, "S", "chart.reach"), None);
    assert!(why(&spaces, 2).contains("Fewer cells"));
    // Only the first cell of a merged one keeps its text.
    let merged = read("Size;S;M\nReach;430;450\nFork travel;150;\n");
    assert_eq!(number(&merged, "S", "fork.travel"), 150.0);
    assert_eq!(at(&merged, "M", "fork.travel"), None);
    assert!(merged.remarks.iter().any(|r| r.number == Some(3) && r.text.contains("merged")));
}

#[test]
fn what_is_ambiguous_is_reported_and_left_out() {
    let table = "Size;S;M\nTop tube;560;570\nAngle;65;65\nTravel;150;150\nOffset;44;44\nSpacers;20;20\n\
        Actual seat tube angle;70;70\nReach;430-440;450\nHead angle;64/64.5;120\nWheel size;29;29\n\
        BB offset;35;-35\nStack+;640;650\nWeelbase;1200;1210\nHead tube;~110;n/a\n";
    let found = read(table);
    let record = &found.records;
    assert_eq!(record.len(), 1, "{}", report(&found));
    assert_eq!(number(&found, "M", "chart.reach"), 450.0);
    assert_eq!(number(&found, "M", "chart.bottom_bracket_drop"), 35.0);
    assert_eq!(record[0].figures.len(), 2);
    for (line, word) in [
        (2, "effective top tube"),
        (3, "Head angle or seat angle"),
        (4, "Front or rear"),
        (5, "Of what"),
        (6, "Below the stem"),
        (7, "effective seat angle"),
        (8, "More than one figure"),
        (9, "More than one figure"),
        (10, "ISO 5775"),
        (11, "above or below"),
        (12, "spacers"),
        (13, "\"wheelbase\""),
        (14, "stands in front"),
    ] {
        assert!(why(&found, line).contains(word), "line {line}: {}", why(&found, line));
    }
    assert!(found.not_understood.iter().any(|l| l.number == 9 && l.why.contains("120")));
    assert!(found.remarks.iter().any(|r| r.number == Some(11) && r.text.contains("drop of 35")));
}

#[test]
fn a_measure_that_stands_twice() {
    let found = read("Size;S;M;L\nSeat tube;400;420;\nReach;430;450;470\nSeat tube length;400.0;430;440\n");
    assert!(why(&found, 4).contains("line 2"));
    assert_eq!(number(&found, "S", "chart.seat_tube"), 400.0);
    assert_eq!(at(&found, "M", "chart.seat_tube"), None, "420 and 430 disagree");
    assert_eq!(number(&found, "L", "chart.seat_tube"), 440.0);
    let texts: Vec<&str> = found.not_understood.iter().map(|l| l.text.as_str()).collect();
    assert!(texts.contains(&"Seat tube, size M: 420") && texts.contains(&"Seat tube length, size M: 430"));
}

#[test]
fn a_second_table_is_not_mixed_in() {
    let found = read("Size;S;M\nReach;430;450\nSize;S;M\nStack;600;610\nSize;L;XL\nTrail;110;111\n");
    assert_eq!(number(&found, "M", "chart.stack"), 610.0);
    assert!(found.remarks.iter().any(|r| r.number == Some(3)));
    assert!(why(&found, 5).contains("second"));
    assert!(why(&found, 6).contains("second table"));
    assert_eq!(at(&found, "S", "chart.trail"), None);
}

#[test]
fn tables_without_sizes() {
    let one = read("Reach\t455\nStack\t620 mm\n");
    assert_eq!(one.records.len(), 1);
    assert_eq!(one.records[0].size, "not given");
    assert_eq!(one.records[0].file_stem, "unnamed-bike");
    assert_eq!(one.records[0].toml, "name = \"Unnamed bike\"\n\n[chart]\nstack = 620\nreach = 455\n");
    let two = read("Reach\t455\t470\nStack\t620\t630\n");
    assert_eq!(number(&two, "column 2", "chart.reach"), 470.0);
    assert!(two.remarks.iter().any(|r| r.text.contains("column 2")));
}

#[test]
fn the_line_of_sizes_is_not_mistaken() {
    let weight = read("Invented bike;S;M\nFrame mass;12.1 kg;12.3 kg\nReach;430;450\n");
    assert_eq!(number(&weight, "M", "chart.reach"), 450.0);
    assert!(weight.records[0].toml.contains("Invented bike"));
    assert!(why(&weight, 2).contains("not known"));
    // A row that slipped by one column is refused, it names no sizes.
    let slipped = read("\tS\tM\nA\tStack\t600\t610\nReach\t430\t450\nTrail\t110\t112\n");
    assert_eq!(number(&slipped, "S", "chart.reach"), 430.0);
    assert!(why(&slipped, 2).contains("More cells"));
    let bare = read("Frame mass;12.1 kg;12.3 kg\nReach;430;450\n");
    assert!(why(&bare, 1).contains("write \"Size\""));
    assert_eq!(number(&bare, "column 1", "chart.reach"), 430.0);
}

#[test]
fn a_record_that_cannot_be_read_back_is_announced() {
    let announced = |r: &knockon_trade::import::Remark| r.number.is_none() && r.text.contains("size M");
    let options = Options { kind: Some("unheard of".into()), ..Options::default() };
    let found = import("Size;M\nReach;455\n", &options);
    assert!(found.remarks.iter().any(announced), "{}", report(&found));
}

#[test]
fn inches_and_centimetres_read_back_as_millimetres() {
    let found = read("Size;M\nReach;17.9 in\nStack (cm);62,1\nHead angle;64°30'\n");
    clean(&found);
    let back = knockon_trade::record::parse("m.toml", &found.records[0].toml).expect("reads back");
    let value = |key: &str| back.record.fact(key).map(|fact| fact.value).expect("is there");
    assert!((value("chart.reach") - 17.9 * 25.4).abs() < 1e-9);
    assert!((value("chart.stack") - 621.0).abs() < 1e-9);
    let head_angle = value("chart.head_angle");
    assert!((head_angle.to_degrees() - 64.5).abs() < 1e-9, "{head_angle}");
}

#[test]
fn options_name_the_bike() {
    let options = Options { name: Some("Shop bike".into()), kind: Some("hardtail".into()) };
    let found = import("Other name\nSize;M;M\nReach;455;460\n", &options);
    assert_eq!(
        found.records[0].toml,
        "name = \"Shop bike\"\nsize = \"M\"\nkind = \"hardtail\"\n\n[chart]\nreach = 455\n"
    );
    assert_eq!(found.records[0].file_stem, "shop-bike-m");
    assert_eq!(found.records[1].file_stem, "shop-bike-m-2");
    assert!(found.remarks.iter().any(|r| r.number == Some(1) && r.text.contains("Other name")));
}

#[test]
fn text_around_the_table_and_text_that_is_none() {
    let found = read("Invented bike\nAll lengths in mm\nSize;S\nFrame\nReach;430\n* with a fork of 140 mm\n");
    assert_eq!(number(&found, "S", "chart.reach"), 430.0);
    assert!(found.records[0].toml.contains("Invented bike"));
    for line in [2, 4, 6] {
        assert!(!why(&found, line).is_empty());
    }
    let prose = read("Dear shop,\n\nthe reach is 430 and I like it.\n");
    assert!(prose.records.is_empty());
    assert_eq!(prose.not_understood.iter().map(|l| l.number).collect::<Vec<_>>(), [1, 3]);
    assert!(report(&prose).contains("No size was understood"));
    assert!(read("").not_understood.is_empty());
}
