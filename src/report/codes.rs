//! Words of short lists that stand in what comes out.

use crate::json::coded;
use crate::records::{
    Habit, Kind, LookAlikeGrade, PlantPart, Purpose, Stage, TestDesign, Underfoot,
};
use crate::rules::Verdict;
use crate::sampling::Design;

coded!(
    Design,
    Habit,
    Kind,
    LookAlikeGrade,
    PlantPart,
    Purpose,
    Stage,
    TestDesign,
    Underfoot,
    Verdict,
);
