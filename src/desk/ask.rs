//! What can be asked and done at the desk, as data: a path, the words of its command, its fields,
//! and who may.

use super::may::May;

/// One page of the desk. Pages differ in nothing else than what stands here.
#[derive(Clone, Copy, Debug)]
pub struct Ask {
    pub path: &'static str,
    /// What a link to it says.
    pub title: &'static str,
    /// The words that its command line begins with.
    pub command: &'static [&'static str],
    pub fields: &'static [Field],
    pub shows: Shows,
    pub may: May,
}

/// What becomes of what the command says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shows {
    /// It answers whoever comes.
    Page,
    /// The same, with more in it than the book, the day and the crops tell: made anew each time.
    Anew,
    /// A form first; sent off, it records, and shows what was recorded.
    Deed,
    /// The file that it makes is the page.
    Sheet,
    /// A file is sent along, looked at, asked about, and recorded.
    Brings,
    /// The page that it makes is one for a phone, with a script of its own.
    App,
    /// It is kept under this name: its media type, and whether it is the first file that the
    /// command makes whose name ends so, or what it prints.
    Download { name: &'static str, media: &'static str },
}

/// Something that is asked for on a form.
#[derive(Clone, Copy, Debug)]
pub struct Field {
    pub name: &'static str,
    pub label: &'static str,
    pub hint: &'static str,
    pub form: Form,
    pub goes: Goes,
    pub needed: bool,
}

/// What a field takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    Patch,
    Site,
    /// A site or a patch.
    Place,
    Walk,
    /// The short id of what was recorded.
    Fact,
    Date,
    /// Year and month.
    Month,
    /// A whole number.
    Number,
    /// A line.
    Words,
    /// One of these: what is sent, and what it says.
    Choice(&'static [(&'static str, &'static str)]),
    /// Yes or nothing.
    Tick,
    /// `FIELD=VALUE` of a fact.
    Change,
    /// `[PARTY:]WHERE=AMOUNT`, several.
    Takings,
    /// A tick that is there only once the command asks for it.
    Answer,
    /// Who says so: the account, or a name where there are no accounts.
    Hand,
}

/// Where on the command line it goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Goes {
    /// By itself, behind all options.
    Itself,
    /// By itself, each word of it.
    EachWord,
    /// By itself, each part of it, where commas part them.
    EachPart,
    /// Behind this option.
    Behind(&'static str),
    /// This option, where it is ticked.
    Flag(&'static str),
}

impl Field {
    pub const fn new(name: &'static str, label: &'static str, form: Form, goes: Goes) -> Self {
        Self { name, label, hint: "", form, goes, needed: false }
    }

    /// A line, behind an option.
    pub const fn words(name: &'static str, label: &'static str, option: &'static str) -> Self {
        Self::new(name, label, Form::Words, Goes::Behind(option))
    }

    /// A whole number, behind an option.
    pub const fn number(name: &'static str, label: &'static str, option: &'static str) -> Self {
        Self::new(name, label, Form::Number, Goes::Behind(option))
    }

    /// A day, behind an option.
    pub const fn day(name: &'static str, label: &'static str, option: &'static str) -> Self {
        Self::new(name, label, Form::Date, Goes::Behind(option))
    }

    /// Yes or nothing: an option that is there or not.
    pub const fn tick(name: &'static str, label: &'static str, option: &'static str) -> Self {
        Self::new(name, label, Form::Tick, Goes::Flag(option))
    }

    pub const fn hint(self, hint: &'static str) -> Self {
        Self { hint, ..self }
    }

    pub const fn needed(self) -> Self {
        Self { needed: true, ..self }
    }

    /// The option that it stands for.
    pub fn option(&self) -> Option<&'static str> {
        match self.goes {
            Goes::Behind(option) | Goes::Flag(option) => Some(option),
            Goes::Itself | Goes::EachWord | Goes::EachPart => None,
        }
    }
}

impl Ask {
    /// What it is about, if one thing: its first field, where that is a place, a walk or a fact.
    pub fn subject(&self) -> Option<&'static Field> {
        self.fields.first().filter(|field| field.form.names_something())
    }

    /// The command line for what was filled in: options first, and behind `--` what stands by
    /// itself, so that nothing typed is ever taken for an option.
    pub fn words(&self, filled: &dyn Fn(&Field) -> Option<String>) -> Vec<String> {
        let mut words: Vec<String> = self.command.iter().map(|word| (*word).to_owned()).collect();
        let mut alone = Vec::new();
        for field in self.fields {
            let Some(value) = filled(field).filter(|value| !value.trim().is_empty()) else {
                continue;
            };
            match field.goes {
                Goes::Itself => alone.push(value),
                Goes::EachPart => alone.extend(parts(&value).map(str::to_owned)),
                Goes::EachWord => alone.extend(value.split_whitespace().map(str::to_owned)),
                Goes::Behind(option) => words.push(format!("{option}={value}")),
                Goes::Flag(option) => words.push(option.to_owned()),
            }
        }
        if !alone.is_empty() {
            words.push("--".to_owned());
            words.extend(alone);
        }
        words
    }
}

impl Ask {
    /// What a command says of its options, said of the fields of this form.
    pub fn labelled(&self, text: &str) -> String {
        let options = self.fields.iter().filter_map(|field| Some((field.option()?, field.label)));
        options.fold(text.to_owned(), |said, (option, label)| {
            let parts: Vec<&str> = said.split(option).collect();
            let mut whole = parts[0].to_owned();
            for part in &parts[1..] {
                let goes_on = |letter: char| letter == '-' || letter.is_alphanumeric();
                if part.starts_with(goes_on) || whole.ends_with(goes_on) {
                    whole += option;
                    whole += part;
                    continue;
                }
                let is_quoted = whole.ends_with('`') && part.starts_with('`');
                let quotes = usize::from(is_quoted);
                whole.truncate(whole.len() - quotes);
                whole += &format!("“{label}”");
                whole += &part[quotes..];
            }
            whole
        })
    }
}

impl Form {
    /// Something of the book, which not everyone may ask about.
    pub fn names_something(self) -> bool {
        matches!(self, Self::Patch | Self::Site | Self::Place | Self::Walk | Self::Fact)
    }
}

/// What commas part.
pub fn parts(text: &str) -> impl Iterator<Item = &str> {
    text.split([',', ';']).map(str::trim).filter(|part| !part.is_empty())
}
