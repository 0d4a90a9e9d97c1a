//! The columns in which a survey says what it measured, whichever way it went.

use super::column::{Column, Need};

/// What units are called: a survey that counts them needs it.
pub const UNIT: Column = Column::text(
    "unit",
    Need::Optional,
    "what was counted: a `rosette`, or a `handful`, `bunch` or `basket` of your own",
    "",
);

/// What a row of a survey may have been measured by, whatever its method.
pub const MEASURED: [Column; 15] = [
    Column::text(
        "stratum",
        Need::Optional,
        "the part of the patch, like `dense`; empty for a patch sampled as one",
        "",
    ),
    Column::number(
        "stratum_area_m2",
        Need::Optional,
        "the ground of that part in square metres, more than 0",
        "",
    ),
    Column::number(
        "frame_area_m2",
        Need::Telling,
        "the ground of one quadrat in square metres; empty where one plant was measured",
        "0.25",
    ),
    Column::number(
        "frame_length_m",
        Need::Telling,
        "for a hedge or verge: the length of one sampled stretch in metres, over its full width",
        "",
    ),
    Column::number("mass_g", Need::Optional, "a number of grams, 0 or more", "31"),
    Column::number("count", Need::Optional, "a whole number of pieces, 0 or more", ""),
    Column::number(
        "judged_g",
        Need::Optional,
        "the grams in the quadrat by eye, 0 or more; weigh some too, into `mass_g`",
        "",
    ),
    Column::number(
        "judged_count",
        Need::Optional,
        "the pieces in the quadrat by eye, a whole number; count some too, into `count`",
        "",
    ),
    UNIT,
    Column::number(
        "units",
        Need::Optional,
        "how many of these were in the quadrat, stretch or plant, 0 or more, halves and all",
        "",
    ),
    Column::number(
        "units_in_all",
        Need::Telling,
        "how many of these stand where the patch may be cut, if every one there was counted",
        "",
    ),
    Column::number(
        "unit_g",
        Need::Optional,
        "the grams of one such unit, more than 0; weigh two or more, each in a row",
        "",
    ),
    Column::text(
        "cover",
        Need::Telling,
        "the cover of the crop in the quadrat: a number of per cent, or a class of `cover_scale`",
        "",
    ),
    Column::text(
        "cover_scale",
        Need::Optional,
        "`percent`, `domin`, `braun-blanquet`, or your own limits, like `D 75-100; A 50-75; F 25-50; \
         O 5-25; R 0-5`",
        "",
    ),
    Column::number(
        "full_cover_g_per_m2",
        Need::Optional,
        "grams on a square metre that the crop covers fully, over 0; weigh two or more, each in a row",
        "",
    ),
];
