//! What a phone recorded, taken in by the commands that take in its file: one record after the
//! other in the order in which they were made, and told of each what became of it.
//!
//! Ids are drawn on the phone, so a record that comes twice is in the book once; a walk's settle
//! has a key of its own, under which its answer is kept.

use std::collections::VecDeque;
use std::sync::{Mutex, MutexGuard, PoisonError};

use axum::http::StatusCode;
use serde::Deserialize;
use serde_json::{Map, Value, json};

use super::Desk;
use super::ask::Form;
use super::asks::ask;
use super::chance::same;
use super::known::{Known, sees_all};
use super::may::May;
use super::person::Person;
use super::reading::out_of_order;
use super::reply::Reply;
use super::request::Filled;
use super::sessions::Seat;
use super::settled::{Unsettled, settle};
use super::told::{Brought, Ended};
use super::way_out::way_out;
use crate::json::{Declared, Flat, Object, Shape, any_of, document, object, one_of};
use crate::records::FIELD_RECORDS;
use crate::report::at_desk;

/// What the file is called of which a record came.
const FILE: &str = "field page.json";

/// Records of one letter.
const MOST: usize = 100;

/// Answers that are remembered.
const MOST_ANSWERED: usize = 200;

/// A request, as it came.
#[derive(Clone, Copy, Debug)]
pub struct Letter<'a> {
    pub token: Option<&'a str>,
    pub body: &'a [u8],
}

type Row = Map<String, Value>;

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Told {
    schema: String,
    records: Vec<Row>,
    struck: Vec<Row>,
    /// Ids of those that are right though the gate asked.
    sure: Vec<String>,
    returns: Option<Row>,
    /// Whether shares that nothing tells of were taken in full.
    assume: bool,
    key: String,
}

one_of! {
    /// What became of something.
    enum What {
        Recorded = "recorded",
        /// It was in the book before.
        Known = "known",
        Withdrawn = "withdrawn",
        Refused = "refused",
    }
}

object! {
    /// For the phone to keep.
    #[derive(Clone)]
    struct Became {
        became: What,
        /// In sentences.
        said: String,
        /// Whether saying that it is right would do.
        asks: bool,
    }

    /// What became of a record.
    struct OfRecord {
        /// Its id.
        fact: String,
        what: Flat<Became>,
    }

    /// To who asks whether the desk is there.
    struct Hello<'a> {
        /// Whose account signs; null where there are none.
        account: Option<&'a str>,
        /// By which a page may send.
        token: &'a str,
    }

    /// Where nothing was looked at.
    struct Refused<'a> {
        said: &'a str,
    }

    /// To what was sent.
    struct Taken {
        /// In the order in which it came.
        told: Vec<OfRecord>,
        /// What became of the walk's settling, where it was asked for.
        walk: Option<Became>,
    }
}

/// The name and version of what a script is answered.
pub const ANSWER_SCHEMA: &str = "stintbook-desk-answer/1";

/// It and what it asks for.
pub fn answer_declared() -> Declared {
    let any = [
        Shape::of_version::<Hello>(ANSWER_SCHEMA),
        Shape::of_version::<Refused>(ANSWER_SCHEMA),
        Shape::of_version::<Taken>(ANSWER_SCHEMA),
    ];
    (ANSWER_SCHEMA, any_of(ANSWER_SCHEMA, any))
}

fn answered(status: StatusCode, data: impl Object) -> Reply {
    Reply::json(status, &document(ANSWER_SCHEMA, data))
}

/// Answers to what may come twice and has no id of its own.
#[derive(Debug, Default)]
pub struct Answered(Mutex<VecDeque<(String, Became)>>);

impl Answered {
    fn all(&self) -> MutexGuard<'_, VecDeque<(String, Became)>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn of(&self, key: &str) -> Option<Became> {
        self.all().iter().find(|(known, _)| known == key).map(|(_, answer)| answer.clone())
    }

    fn keep(&self, key: String, answer: Became) {
        let mut all = self.all();
        if all.len() >= MOST_ANSWERED {
            all.pop_front();
        }
        all.push_back((key, answer));
    }
}

/// Who signs, and the token by which a page may send.
pub fn hello(desk: &Desk, person: &Person, seat: Option<&Seat>) -> Reply {
    let Ok(seat) = seat.cloned().map_or_else(|| desk.sessions.begin(None), Ok) else {
        return out_of_order(person, "this system gives no random numbers");
    };
    let said = Hello { account: person.name.as_deref(), token: &seat.token };
    answered(StatusCode::OK, said).header("set-cookie", desk.cookie(&seat.id))
}

/// Takes in what a phone sent.
pub fn taken(desk: &Desk, person: &Person, seat: Option<&Seat>, letter: Letter) -> Reply {
    let refuse = |status, said: &str| answered(status, Refused { said });
    let token = letter.token.unwrap_or_default();
    if !seat.is_some_and(|seat| same(&seat.token, token)) {
        return refuse(StatusCode::FORBIDDEN, "it is of an earlier sitting");
    }
    let told: Told = match serde_json::from_slice(letter.body) {
        Ok(told) => told,
        Err(error) => return refuse(StatusCode::BAD_REQUEST, &error.to_string()),
    };
    let count = told.records.len() + told.struck.len();
    if told.schema != FIELD_RECORDS || count > MOST {
        return refuse(StatusCode::BAD_REQUEST, "another version of the page, or too much at once");
    }
    let known = match Known::read(desk) {
        Ok(known) => known,
        Err(error) => return refuse(StatusCode::SERVICE_UNAVAILABLE, &error.to_string()),
    };
    let taking = Taking { desk, person, known: &known };
    match taking.all(&told) {
        Ok(answer) => answered(StatusCode::OK, answer),
        Err(sentence) => refuse(StatusCode::SERVICE_UNAVAILABLE, &sentence),
    }
}

struct Taking<'a> {
    desk: &'a Desk,
    person: &'a Person,
    known: &'a Known,
}

impl Taking<'_> {
    /// # Errors
    /// A book that cannot be written now: the phone tries again.
    fn all(&self, told: &Told) -> Result<Taken, String> {
        let mut became = Vec::new();
        for row in &told.records {
            let id = text(row, "fact");
            let is_sure = told.sure.iter().any(|sure| sure == id);
            became.push((id, self.record(row, is_sure)?));
        }
        for row in &told.struck {
            became.push((text(row, "fact"), self.withdrawn(row)?));
        }
        let walk = told.returns.as_ref().map(|returns| self.settled(returns, told)).transpose()?;
        let told = became.into_iter().map(|(id, became)| {
            let said = self.said(&became.said);
            OfRecord { fact: id.to_owned(), what: Flat(Became { said, ..became }) }
        });
        Ok(Taken { told: told.collect(), walk })
    }

    fn record(&self, row: &Row, is_sure: bool) -> Result<Became, String> {
        let id = text(row, "fact");
        let (form, place) = match text(row, "kind") {
            "visit" => (Form::Site, text(row, "site")),
            _ => (Form::Patch, text(row, "patch")),
        };
        if !self.sees(form, place) {
            return Ok(Became::refused(format!("nothing here is called `{place}`")));
        }
        let was_known = self.known.hand_of(id).is_some();
        let mut row = row.clone();
        if let Some(name) = &self.person.name {
            row.insert("by".to_owned(), name.clone().into());
        }
        let mut words = vec!["load".to_owned()];
        if is_sure {
            words.extend(["--sure", "--again"].map(str::to_owned));
        }
        let file = json!({ "schema": FIELD_RECORDS, "records": [row] });
        let became = self.ran(words, &[], &file, "/cut")?;
        Ok(match became.became {
            What::Recorded if was_known => Became { became: What::Known, ..became },
            _ => became,
        })
    }

    /// Takes back what was struck out after it had been sent.
    fn withdrawn(&self, row: &Row) -> Result<Became, String> {
        let id = text(row, "fact");
        if self.known.hand_of(id).is_none() {
            return Ok(Became { became: What::Withdrawn, said: String::new(), asks: false });
        }
        let by = self.person.name.as_deref().unwrap_or_else(|| text(row, "by"));
        let mut filled = Filled::default();
        let said = [("fact", id), ("why", "struck out on the phone"), ("by", by)];
        said.iter().for_each(|(name, value)| filled.set(name, value));
        let Some(withdraw) = ask("/withdraw") else { return Ok(Became::refused(String::new())) };
        if let Err(unsettled) = settle(withdraw, self.known, self.person, &mut filled) {
            return Ok(Became::unsettled(unsettled));
        }
        let words = withdraw.words(&|field| filled.of(field));
        let (ended, told) = self.desk.commands.run(&words);
        Ok(match Became::of(ended, &told.text, |said| withdraw.labelled(said))? {
            Became { became: What::Recorded, said, asks } => {
                Became { became: What::Withdrawn, said, asks }
            }
            // Whoever struck it out twice has what they want.
            Became { said, .. } if said.contains("withdrawn") => {
                Became { became: What::Withdrawn, said, asks: false }
            }
            other => other,
        })
    }

    fn settled(&self, returns: &Row, told: &Told) -> Result<Became, String> {
        let name = self.person.name.as_deref().unwrap_or_default();
        let key = format!("{}/{name}", told.key);
        if let Some(answer) = self.desk.outbox.of(&key).filter(|_| !told.key.is_empty()) {
            return Ok(answer);
        }
        let became = self.settled_once(returns, told.assume)?;
        let said = self.said(&became.said);
        let answer = Became { said, ..became };
        if answer.became == What::Recorded {
            self.desk.outbox.keep(key, answer.clone());
        }
        Ok(answer)
    }

    fn settled_once(&self, returns: &Row, assume: bool) -> Result<Became, String> {
        let walk = text(returns, "walk");
        let rows = returns.get("rows").and_then(Value::as_array).map_or(&[][..], Vec::as_slice);
        let is_theirs = |row: &Value| {
            let patch = row.get("patch").and_then(Value::as_str).unwrap_or_default();
            self.sees(Form::Patch, patch)
        };
        if !self.person.may(May::Lead) {
            return Ok(Became::refused("only who leads walks settles them".to_owned()));
        }
        if !self.sees(Form::Walk, walk) || !rows.iter().all(is_theirs) {
            return Ok(Became::refused(format!("no walk is called `{walk}`")));
        }
        let mut words = vec!["walk".to_owned(), "settle".to_owned()];
        words.extend(self.person.name.iter().map(|name| format!("--by={name}")));
        if assume {
            words.push("--assume-taken".to_owned());
        }
        let file = json!({ "schema": FIELD_RECORDS, "returns": returns });
        self.ran(words, &[walk], &file, "/walk/settle")
    }

    fn ran(
        &self,
        mut words: Vec<String>,
        alone: &[&str],
        file: &Value,
        form: &str,
    ) -> Result<Became, String> {
        words.push("--".to_owned());
        words.extend(alone.iter().chain(&[FILE]).map(|word| (*word).to_owned()));
        let bytes = file.to_string().into_bytes().into();
        let brought = vec![Brought { name: FILE.to_owned(), bytes }];
        let (ended, told) = self.desk.commands.run_on(&words, brought);
        let as_form = |said: &str| ask(form).map_or(said.to_owned(), |ask| ask.labelled(said));
        Became::of(ended, &told.text, |said| as_form(&said.replace(&format!("{FILE}, "), "")))
    }

    /// To somebody who types no commands.
    fn said(&self, text: &str) -> String {
        at_desk::in_words(text, &|words| way_out(self.person, words))
    }

    fn sees(&self, form: Form, name: &str) -> bool {
        let meant = self.known.meant(form, name);
        meant.is_ok_and(|meant| sees_all(self.person, &meant.sites))
    }
}

impl Became {
    fn refused(said: String) -> Self {
        Self { became: What::Refused, said, asks: false }
    }

    fn unsettled(unsettled: Unsettled) -> Self {
        Self::refused(match unsettled {
            Unsettled::Unknown(sentence) => sentence,
            Unsettled::Lacking => "something is missing".to_owned(),
            Unsettled::NotTheirs => "it is for others to take back".to_owned(),
        })
    }

    /// # Errors
    /// A book that cannot be written.
    fn of(ended: Ended, told: &str, in_words: impl Fn(&str) -> String) -> Result<Self, String> {
        match ended {
            Ended::Done | Ended::No => {
                Ok(Self { became: What::Recorded, said: told.to_owned(), asks: false })
            }
            Ended::Wrong(sentence) => {
                let asks = ASKS.iter().any(|option| sentence.contains(option));
                Ok(Self { asks, ..Self::refused(in_words(&sentence)) })
            }
            Ended::Storage(sentence) => Err(sentence),
        }
    }
}

/// Options by which whoever is asked says yes.
const ASKS: [&str; 3] = ["--sure", "--again", "--assume-taken"];

fn text<'r>(row: &'r Row, name: &str) -> &'r str {
    row.get(name).and_then(Value::as_str).unwrap_or_default()
}
