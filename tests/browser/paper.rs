//! Reads what a printer would get: how large its letters are, and how far down a sheet is filled.
//!
//! Chromium's files have one stream of operators a sheet, packed by zlib (ISO 32000-1, 7.4.4 and
//! 9.4); lettering of any kind, of a drawing's too, is text in it.

use std::io::Read;

use flate2::read::ZlibDecoder;

/// A sheet of paper; lengths in points, from its lower left corner.
#[derive(Debug)]
pub struct Sheet {
    pub width: f64,
    pub height: f64,
    pub letters: Vec<Letters>,
}

/// Letters that are shown together.
#[derive(Clone, Copy, Debug)]
pub struct Letters {
    /// How high their type is set.
    pub size: f64,
    pub base: f64,
}

/// Below this part of a sheet stands its number alone.
const FOOT: f64 = 0.045;

impl Sheet {
    /// Those of a file, in their order.
    pub fn of(pdf: &[u8]) -> Vec<Self> {
        let text = String::from_utf8_lossy(pdf);
        text.split("/Type /Page\n").skip(1).map(|page| Self::read(pdf, page)).collect()
    }

    fn read(pdf: &[u8], page: &str) -> Self {
        let after = |name: &str| page.split(name).nth(1).unwrap();
        let corners = numbers(after("/MediaBox [").split(']').next().unwrap());
        let stream = after("/Contents ").split(' ').next().unwrap();
        let letters = letters(&unpacked(pdf, stream));
        Self { width: corners[2], height: corners[3], letters }
    }

    pub fn smallest(&self) -> f64 {
        self.letters.iter().map(|letters| letters.size).fold(f64::INFINITY, f64::min)
    }

    /// How far down it is filled, as a part of its height.
    pub fn filled(&self) -> f64 {
        let bases = self.letters.iter().map(|letters| letters.base);
        let lowest = bases.filter(|base| *base > FOOT * self.height).fold(self.height, f64::min);
        1.0 - lowest / self.height
    }
}

fn unpacked(pdf: &[u8], number: &str) -> String {
    let place = |from: usize, what: &[u8]| {
        from + pdf[from..].windows(what.len()).position(|bytes| bytes == what).unwrap()
    };
    let object = place(0, format!("\n{number} 0 obj").as_bytes());
    let stream = place(object, b"stream\n") + b"stream\n".len();
    let end = place(stream, b"endstream");
    let mut text = Vec::new();
    ZlibDecoder::new(&pdf[stream..end]).read_to_end(&mut text).unwrap();
    String::from_utf8_lossy(&text).into_owned()
}

/// How a place moves: six numbers, as the operator `cm` has them.
type Matrix = [f64; 6];

const SAME: Matrix = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];

/// First the one, then the other.
fn then(one: Matrix, other: Matrix) -> Matrix {
    let [a, b, c, d, x, y] = one;
    let moved = |x: f64, y: f64| (x * other[0] + y * other[2], x * other[1] + y * other[3]);
    let ((a, b), (c, d), (x, y)) = (moved(a, b), moved(c, d), moved(x, y));
    [a, b, c, d, x + other[4], y + other[5]]
}

fn letters(operators: &str) -> Vec<Letters> {
    let (mut now, mut kept, mut line, mut size) = (SAME, Vec::new(), SAME, 0.0);
    let mut found = Vec::new();
    for row in operators.lines() {
        match row.rsplit(' ').next().unwrap() {
            "q" => kept.push(now),
            "Q" => now = kept.pop().unwrap(),
            "cm" => now = then(matrix(row), now),
            "BT" => line = SAME,
            "Tf" => size = numbers(row)[0],
            "Tm" => line = matrix(row),
            "Tj" | "TJ" => {
                let [_, _, c, d, _, base] = then(line, now);
                found.push(Letters { size: size * c.hypot(d), base });
            }
            _ => {}
        }
    }
    found
}

fn matrix(row: &str) -> Matrix {
    numbers(row).try_into().unwrap()
}

/// Whatever reads as a number.
fn numbers(text: &str) -> Vec<f64> {
    text.split(' ').filter_map(|word| word.parse().ok()).collect()
}
