//! Every page of the desk by every rule of axe-core, light and dark, on a laptop and on a phone, and no
//! letter on a phone too small.

use serde_json::Value;

use super::served::{Desk, folder};
use crate::Outcome;
use crate::accessible::axe;
use crate::driven::Driven;
use crate::narrow::{SMALLEST, well_shown};

const PAGES: [&str; 28] = [
    "/week",
    "/week?all=yes&why=yes",
    "/patch",
    "/patch?patch=Wendlestow%2FMill+bank",
    "/due",
    "/calendar",
    "/planned?site=Wendlestow&ahead=1+month",
    "/walks",
    "/walk?walk=creek+walk",
    "/walk/plan?walk=creek+walk",
    "/walks/new",
    "/walks/try?site=Wendlestow&want=green+leaf%3D2kg&on=2027-03-20",
    "/walk/hold?walk=creek+walk",
    "/walk/settle?walk=creek+walk",
    "/boxes?month=2027-04&count=12&each=green+leaf%3D150g",
    "/boxes/hold",
    "/records?site=Wendlestow",
    "/bring",
    "/field",
    "/export",
    "/undo",
    "/report?site=Wendlestow",
    "/crops?crop=ramsons-leaf",
    "/cut?patch=Wendlestow%2FMill+bank",
    "/visit",
    "/survey",
    "/nothing",
    "/sign-in",
];

pub fn no_rule_of_accessibility_is_broken_on_any_page() -> Outcome {
    let axe = axe()?;
    let mut browser = Driven::start()?;
    let desk = Desk::on(folder(), &[]);
    let tab = browser.tab_in_the_net("");
    for (width, scheme) in [(1200, "light"), (390, "dark"), (1200, "dark"), (390, "light")] {
        browser.wide(&tab, width);
        browser.scheme(&tab, scheme);
        for page in PAGES {
            browser.go(&tab, &format!("http://{}{page}", desk.address));
            browser.value(&tab, &format!("{axe};0"));
            let said = browser.value(
                &tab,
                "axe.run().then(result => JSON.stringify({ passes: result.passes.length, \
                 violations: result.violations.map(rule => [rule.id, rule.nodes.map(it => it.html)]) }))",
            );
            if width == 390 {
                let smallest = browser.value(&tab, SMALLEST);
                well_shown(smallest.as_str().unwrap(), page);
            }
            let said: Value = serde_json::from_str(said.as_str().unwrap()).unwrap();
            assert!(said["passes"].as_u64().unwrap() > 10, "{page}: {said:#}");
            assert_eq!(
                said["violations"].as_array().map(Vec::len),
                Some(0),
                "{page} {width} {scheme}: {said:#}"
            );
            let over = "document.documentElement.scrollWidth - innerWidth";
            assert!(
                browser.value(&tab, over).as_i64().unwrap() <= 0,
                "{page} is wider than {width}"
            );
        }
    }
    Ok(())
}
