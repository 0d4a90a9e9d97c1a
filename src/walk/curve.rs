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
}
