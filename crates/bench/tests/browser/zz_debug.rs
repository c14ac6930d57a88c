use crate::screen::Screen;
use crate::shown::*;
use crate::site::Site;
#[test]
fn zz() {
    let Some(site) = Site::open() else { return };
    let question = site.ask("Higher bar?", "Larch", "bar rise 20");
    let page = site.page(Screen::DESK);
    page.go(&format!("/questions/{question}"));
    page.find("spinbutton", "Bar rise").fill("45");
    shows(&page, "Grip stack", DIFFERENCE, exact(&site, "Larch", "bar rise 45", "grip_stack"));
    for _ in 0..10 {
    println!("{:?} {:?} {:?}", page.names("combobox"), page.names("textbox"), page.names("slider"));
    let a = page.call("Accessibility.getFullAXTree", serde_json::json!({}));
    for n in a["nodes"].as_array().unwrap() { if n["name"]["value"].as_str().unwrap_or("").contains("Say a change") { println!("{} {} {}", n["role"]["value"], n["ignored"], n["name"]["value"]); } }
    std::thread::sleep(std::time::Duration::from_millis(300)); }
    page.find("slider", "Bar rise").js("this.value = 41; this.dispatchEvent(new Event('input', {bubbles:true}))");
    std::thread::sleep(std::time::Duration::from_millis(2500)); 
    println!("{:?}", page.select("#verdict").text());
    println!("{:?}", page.text().contains("Your hands come"));
    println!("{:?}", site.desk.answer_of(question, "bar rise 41").unwrap().sheet.answer);
}
