//! Which facts a report rests on, in one line that changes with any of them.

use std::collections::HashSet;

use sha2::{Digest, Sha256};

use super::{Righted, Span};
use crate::assess::{Prepared, guessed};
use crate::records::{Fact, FactId, PatchFacts, SiteFacts};

/// As many bytes of the hash as are shown: 64 bits tell any two states of a book apart.
const SHOWN: usize = 8;

/// Patches of the book, as a [`super::Background`] has them.
#[derive(Clone, Copy)]
pub(super) struct Elsewhere<'b, 'a> {
    pub patches: &'b [Prepared<'a>],
    pub peers: &'b [Prepared<'a>],
}

/// Every fact that bears on the report: those of the site up to the span's last day; of what was
/// seen elsewhere of its crops, what taught how the eyes err that glanced here, and where a patch
/// was never surveyed, the surveys from which it is guessed; the walks and the corrections it tells
/// of. Each once, in order.
pub(super) fn facts_behind(
    site: &SiteFacts,
    Elsewhere { patches, peers }: Elsewhere,
    righted: &[&Righted],
    walks: impl Iterator<Item = FactId>,
    span: Span,
) -> Vec<FactId> {
    let mut ids = vec![site.site.id];
    ids.extend(site.zones.iter().map(|fact| fact.id));
    ids.extend(site.permissions.iter().map(|fact| fact.id));
    ids.extend(site.closures.iter().map(|fact| fact.id));
    ids.extend(up_to(&site.visits, span));
    ids.extend(site.overrides.iter().map(|fact| fact.id));
    let own = |patch: &&Prepared| patch.site.site.id == site.site.id;
    let mut eyes: HashSet<(&str, &str)> = HashSet::new();
    for patch in patches.iter().filter(own) {
        ids.push(patch.facts.patch.id);
        ids.extend(up_to(&patch.facts.surveys, span));
        ids.extend(up_to(&patch.facts.glances, span));
        ids.extend(up_to(&patch.facts.cuts, span));
        let glanced = patch.facts.glances.iter().filter(|glance| glance.happened_on <= span.to);
        eyes.extend(glanced.map(|glance| (&*patch.crop().name, &*glance.by)));
    }
    for patch in patches.iter().filter(|patch| !own(patch)) {
        ids.extend(checks(patch, span, |by| eyes.contains(&(&*patch.crop().name, by))));
    }
    let guessed = guessed(patches, |patch| own(&patch), span.to);
    let peers = peers.iter().filter(|patch| guessed.contains(&patch.crop().name));
    ids.extend(peers.flat_map(|patch| up_to(&patch.facts.surveys, span)));
    ids.extend(walks);
    for righted in righted {
        ids.extend([righted.was.id, righted.correction.id]);
        ids.extend(righted.now.as_ref().map(|now| now.id));
    }
    ids.sort_unstable();
    ids.dedup();
    ids
}

/// The glances of these eyes at a patch, on days of a survey, with the surveys that they were
/// checked by.
fn checks(patch: &Prepared, span: Span, is_wanted: impl Fn(&str) -> bool) -> Vec<FactId> {
    let PatchFacts { surveys, glances, .. } = patch.facts;
    let mut ids = Vec::new();
    for glance in glances.iter().filter(|glance| glance.happened_on <= span.to) {
        let of_day = |survey: &&Fact<_>| survey.happened_on == glance.happened_on;
        let surveyed = surveys.iter().filter(of_day).map(|survey| survey.id);
        let before = ids.len();
        ids.extend(surveyed.filter(|_| is_wanted(&glance.by)));
        if ids.len() > before {
            ids.push(glance.id);
        }
    }
    ids
}

fn up_to<T>(facts: &[Fact<T>], span: Span) -> impl Iterator<Item = FactId> {
    facts.iter().filter(move |fact| fact.happened_on <= span.to).map(|fact| fact.id)
}

/// The first 64 bits of the SHA-256 (FIPS 180-4) of the ids, 16 bytes each, in hexadecimal
/// groups of four. Facts are never changed, so that their ids stand for them.
pub(super) fn fingerprint(ids: &[FactId]) -> String {
    let mut hash = Sha256::new();
    for id in ids {
        hash.update(id.0.as_bytes());
    }
    let hash = hash.finalize();
    let pairs: Vec<String> =
        hash[..SHOWN].chunks(2).map(|pair| format!("{:02x}{:02x}", pair[0], pair[1])).collect();
    pairs.join("-")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-4, example of the empty message: e3b0c442 98fc1c14 ….
    #[test]
    fn the_fingerprint_of_no_facts_is_the_hash_of_nothing() {
        assert_eq!(fingerprint(&[]), "e3b0-c442-98fc-1c14");
    }
}
