//! Files that are taken home from the desk are those that the commands write.

use std::collections::BTreeMap;
use std::io::{Cursor, Read};

use super::access::{signed_in, with_accounts};
use super::served::Desk;

#[test]
fn maps_are_those_of_the_command() {
    let desk = Desk::open();
    for (path, words) in [
        ("/export/map.kml", &["export", "kml", "--format", "kml"][..]),
        (
            "/export/map.gpx?site=Gullhythe",
            &["export", "gpx", "--format", "gpx", "--site", "Gullhythe"],
        ),
        ("/export/map.geojson", &["export", "geojson", "--format", "geojson"]),
        (
            "/export/map.geojson?blur=10km&on=2027-04-20",
            &["export", "blurred", "--format", "geojson", "--blur", "10km", "--on", "2027-04-20"],
        ),
    ] {
        desk.typed(words);
        let name = path.rsplit('/').next().unwrap().split('?').next().unwrap();
        let file = std::fs::read_to_string(desk.folder.path().join(words[1]).join(name)).unwrap();
        let taken = desk.get(path);
        assert_eq!(taken.status, 200, "{path}");
        assert_eq!(taken.body, file, "{path}");
        let kept = format!("attachment; filename=\"{name}\"");
        assert_eq!(taken.header("content-disposition"), Some(&*kept), "{path}");
    }
}

#[test]
fn files_that_are_no_text_are_those_of_the_command_to_the_last_byte() {
    let desk = Desk::open();
    for (path, words) in [
        ("/export/map.gpkg", &["export", "gpkg", "--format", "gpkg"][..]),
        (
            "/export/map.gpkg?site=Gullhythe&blur=2km",
            &["export", "blurred", "--format", "gpkg", "--site", "Gullhythe", "--blur", "2km"],
        ),
        ("/export/records.zip", &["export", "dwca", "--format", "dwca"]),
    ] {
        desk.typed(words);
        let taken = desk.bytes(path);
        let folder = std::fs::read_dir(desk.folder.path().join(words[1])).unwrap();
        let written: Vec<_> =
            folder.map(|file| std::fs::read(file.unwrap().path()).unwrap()).collect();
        assert_eq!(written.len(), 1, "{path}");
        assert!(taken.len() > 1000 && taken == written[0], "{path}");
    }
}

/// The files of an archive.
fn unpacked(bytes: Vec<u8>) -> BTreeMap<String, String> {
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).unwrap();
    let mut files = BTreeMap::new();
    for n in 0..archive.len() {
        let mut file = archive.by_index(n).unwrap();
        let name = file.name().unwrap().into_owned();
        let mut text = String::new();
        file.read_to_string(&mut text).unwrap();
        files.insert(name, text);
    }
    files
}

#[test]
fn the_whole_book_comes_as_the_files_that_make_it_anew() {
    let desk = Desk::open();
    desk.typed(&["export", "whole", "--whole"]);
    desk.typed(&["export", "others"]);
    let taken = unpacked(desk.bytes("/export/whole.zip"));
    let others = unpacked(desk.bytes("/export/for-others.zip"));
    for (folder, taken) in [("whole", &taken), ("others", &others)] {
        let written = std::fs::read_dir(desk.folder.path().join(folder)).unwrap();
        let read = |file: std::io::Result<std::fs::DirEntry>| {
            let file = file.unwrap();
            let name = file.file_name().into_string().unwrap();
            (name, std::fs::read_to_string(file.path()).unwrap())
        };
        assert_eq!(&written.map(read).collect::<BTreeMap<_, _>>(), taken);
        assert!(taken.len() > 8, "{:?}", taken.keys());
    }
    assert!(others["cuts.csv"].contains("person 1"), "{}", &others["cuts.csv"][..400]);
    assert!(taken["cuts.csv"].contains("Ida") && !others["cuts.csv"].contains("Ida"));
    let found = unpacked(desk.bytes("/export/records.zip"));
    assert!(found.contains_key("meta.xml"), "{:?}", found.keys());
}

#[test]
fn a_page_lists_what_one_may_take_home() {
    let desk = with_accounts();
    let keeper = signed_in(&desk, "Ida").get("/export").body;
    assert!(keeper.contains("action=\"/export/whole.zip\""));
    assert!(keeper.contains("<a href=\"/export\" aria-current=\"page\">To take home</a>"));
    let forager = signed_in(&desk, "Bea").get("/export").body;
    assert!(forager.contains("action=\"/export/map.kml\""));
    assert!(!forager.contains(".zip\""), "{forager}");
    // Who is held to a site takes home that site alone.
    let map = signed_in(&desk, "Bea").get("/export/map.geojson").body;
    assert!(map.contains("Gullhythe") && !map.contains("Wendlestow"));
    assert_eq!(signed_in(&desk, "Bea").get("/export/map.geojson?site=Wendlestow").status, 404);
}
