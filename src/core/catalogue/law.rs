//! What the law asks of whoever gathers, in general words, by country.
//!
//! It is no legal advice: local law, by-laws and the occupier's word come first, and laws change.

/// One sentence or two on one country or kind of ground, and where it comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Law {
    /// The country, or the kind of ground.
    pub place: &'static str,
    /// Continues the place and a colon.
    pub says: &'static str,
    /// The act, or who says so.
    pub source: &'static str,
}

/// What is picked for sale or reward: boxes that are sold, walks that are paid for.
pub const FOR_REWARD: [Law; 5] = [
    Law {
        place: "England and Wales",
        says: "picking wild plants, fruit or fungi for sale or reward can be theft without the \
               owner's consent (Theft Act 1968, section 4(3))",
        source: "Theft Act 1968, http://www.legislation.gov.uk/ukpga/1968/60/introduction, its \
                 section 4(3) read as the European Forest Institute quotes it, \
                 http://nwfp-policies.efi.int/w/index.php?direction=prev&oldid=2182&title=Theft_Act_1968",
    },
    Law {
        place: "Scotland",
        says: "gathering for sale or for a business needs the landowner's permission; guests of a \
               walk that is paid for may gather for themselves or to learn, but ask first on \
               protected ground",
        source: "NatureScot and others, Guidance on foraging in Scotland, \
                 https://www.outdooraccess-scotland.scot/doc/guidance-foraging-scotland",
    },
    Law {
        place: "Northern Ireland",
        says: "gathering wild plants, fruit or fungi needs permission, for sale or not",
        source: "NetRegs, https://netregs.org.uk/environmental-topics/land/land-managment-topics-for-forestry/gathering-and-picking-wild-plants-fungi-and-fruits",
    },
    Law {
        place: "Ireland",
        says: "picking what grows wild for sale or reward can be theft (Criminal Justice (Theft \
               and Fraud Offences) Act 2001, section 5(4))",
        source: "Law Reform Commission, https://revisedacts.lawreform.ie:443/eli/2001/act/50/section/5/revised/en/html",
    },
    Law {
        place: "Foreshore of the Crown",
        says: "seaweed gathered by hand for reward needs a licence, and any gathering on a \
               protected shore needs consent",
        source: "The Crown Estate, https://www.thecrownestate.co.uk/our-business/marine/seaweed-harvesting; \
                 Crown Estate Scotland, https://www.crownestatescotland.com/scotlands-property/aquaculture/licensing-of-wild-seaweed-harvesting",
    },
];

/// What holds for sale or not.
pub const FOR_ALL: [Law; 6] = [
    Law {
        place: "Great Britain, roots",
        says: "no wild plant may be uprooted without the leave of the owner or occupier",
        source: "Joint Nature Conservation Committee, http://archive.jncc.gov.uk/page-3202",
    },
    Law {
        place: "Great Britain, protected plants",
        says: "those of Schedule 8 of the Wildlife and Countryside Act 1981 may not be picked, \
               uprooted or sold; bluebell and shore dock may not be sold",
        source: "https://legislation.gov.uk/ukpga/1981/69/schedule/8/2015-03-05/data.htm?view=plain+extent",
    },
    Law {
        place: "Northern Ireland, protected plants",
        says: "those of Schedule 8 of the Wildlife Order, juniper and sea kale among them, may \
               not be picked, uprooted or sold",
        source: "https://legislation.gov.uk/nia/2011/15/schedule/1/paragraph/8/enacted/data.akn; \
                 Joint Nature Conservation Committee, http://archive.jncc.gov.uk/page-3202",
    },
    Law {
        place: "Ireland, protected plants",
        says: "those of the Flora (Protection) Order 2022 may not be cut, uprooted, damaged or \
               offered for sale, nor their ground harmed, wherever they grow",
        source: "National Parks and Wildlife Service, https://www.npws.ie/legislation/irish-law/flora-protection-order-1999",
    },
    Law {
        place: "Plants brought in",
        says: "in England and Wales those of Schedule 9 must not be planted, or let grow, in the \
               wild, and in Scotland no plant outside its native range",
        source: "https://www.whitcher-wildlife.co.uk/species/invasive-plant-species/; \
                 Scottish Invasive Species Initiative, https://invasivespecies.scot/the-bigger-picture",
    },
    Law {
        place: "Protected sites",
        says: "on a site of special scientific interest, a reserve or the like nothing may be \
               picked but with permission of its conservation body",
        source: "NetRegs, https://netregs.org.uk/environmental-topics/land/land-managment-topics-for-forestry/gathering-and-picking-wild-plants-fungi-and-fruits",
    },
];
