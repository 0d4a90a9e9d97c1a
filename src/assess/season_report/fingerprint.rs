//! Which facts a report rests on, in one line that changes with any of them.

use sha2::{Digest, Sha256};

use super::{Righted, Span};
use crate::assess::Prepared;
use crate::records::{Fact, FactId, SiteFacts};

/// As many bytes of the hash as are shown: 64 bits tell any two states of a book apart.
const SHOWN: usize = 8;

/// Every fact that bears on the report: those of the site up to the span's last day, whatever
/// was seen elsewhere of its crops (it teaches how eyes err), the walks and the corrections it
/// tells of. Each once, in order.
pub(super) fn facts_behind(
    site: &SiteFacts,
    patches: &[Prepared],
    righted: &[&Righted],
    walks: impl Iterator<Item = FactId>,
    span: Span,
) -> Vec<FactId> {
    let name = &site.site.record.name;
    let own = |patch: &&Prepared| patch.site.site.record.name == *name;
    let crops: Vec<&str> = patches.iter().filter(own).map(|patch| &*patch.crop().name).collect();
    let mut ids = vec![site.site.id];
    ids.extend(site.zones.iter().map(|fact| fact.id));
    ids.extend(site.permissions.iter().map(|fact| fact.id));
    ids.extend(site.closures.iter().map(|fact| fact.id));
    ids.extend(up_to(&site.visits, span));
    ids.extend(site.overrides.iter().map(|fact| fact.id));
    for patch in patches.iter().filter(|patch| crops.contains(&&*patch.crop().name)) {
        ids.extend(up_to(&patch.facts.surveys, span));
        ids.extend(up_to(&patch.facts.glances, span));
        if own(&patch) {
            ids.push(patch.facts.patch.id);
            ids.extend(up_to(&patch.facts.cuts, span));
        }
    }
    ids.extend(walks);
    for righted in righted {
        ids.extend([righted.was.id, righted.correction.id]);
        ids.extend(righted.now.as_ref().map(|now| now.id));
    }
    ids.sort_unstable();
    ids.dedup();
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
