//! What a pool's plants cost in walking, by how much of them is taken.

/// The least walking for any amount from a pool: straight lines that grow ever steeper.
#[derive(Debug)]
pub(super) struct Curve {
    ends: Vec<f64>,
    walking: Vec<f64>,
}

impl Curve {
    pub fn through(points: Vec<(f64, f64)>) -> Self {
        let (ends, walking) = points.into_iter().unzip();
        Self { ends, walking }
    }

    pub fn push(&mut self, gives: f64, walking: f64) {
        let last = self.ends.len() - 1;
        self.ends.push(self.ends[last] + gives);
        self.walking.push(self.walking[last] + walking);
    }

    /// The walking for an amount, and how much more there is for each gram or piece more.
    pub fn at(&self, amount: f64) -> (f64, f64) {
        let lines = self.ends.len() - 1;
        if lines == 0 {
            return (0.0, 0.0);
        }
        let end = self.ends.partition_point(|&end| end < amount).clamp(1, lines);
        let [from, to] = [end - 1, end].map(|n| (self.ends[n], self.walking[n]));
        let slope = (to.1 - from.1) / (to.0 - from.0);
        (from.1 + slope * (amount - from.0), slope)
    }

    /// Its lines: how steep each is, and how much it takes to walk along it.
    pub fn lines(&self) -> impl Iterator<Item = (f64, f64)> {
        let ends = self.ends.windows(2).zip(self.walking.windows(2));
        ends.map(|(ends, walking)| {
            let along = ends[1] - ends[0];
            ((walking[1] - walking[0]) / along, along)
        })
    }

    /// The last line that is no steeper than a slope, or else the first one: the walking that it
    /// comes to at nothing, and its slope.
    pub fn touching(&self, slope: f64) -> Option<(f64, f64)> {
        let lines = self.ends.len() - 1;
        let steepness =
            |n: usize| (self.walking[n + 1] - self.walking[n]) / (self.ends[n + 1] - self.ends[n]);
        let (mut low, mut high) = (0, lines);
        while low < high {
            let middle = low + (high - low) / 2;
            if steepness(middle) <= slope { low = middle + 1 } else { high = middle }
        }
        let line = low.saturating_sub(1);
        (line < lines)
            .then(|| (self.walking[line] - steepness(line) * self.ends[line], steepness(line)))
    }
}
