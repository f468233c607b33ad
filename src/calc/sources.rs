//! Where each constant and default comes from, as lines that pages can print. Never computes.

/// How well a source supports a figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SourceQuality {
    /// Checked against an outside table in the tests.
    Checked,
    /// Read in a publication, not cross-checked.
    Read,
    /// Recalled, not looked up.
    Memory,
    /// What mills commonly do; no publication found.
    CommonPractice,
    /// Our own fit or sum, from the sources named.
    Own,
}

impl SourceQuality {
    /// The words a page prints after the line.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Checked => "checked against published values",
            Self::Read => "read in the source",
            Self::Memory => "not read in its source; ask your state’s Extension office",
            Self::CommonPractice => "common practice",
            Self::Own => "our own sum",
        }
    }
}

/// One source line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Source {
    /// The setting or formula that it supports, by its fixed word.
    pub key: &'static str,
    /// The line to print.
    pub text: &'static str,
    /// How well it supports the figure.
    pub standing: SourceQuality,
}

/// The source of a setting or formula; nothing for an unknown word.
pub fn source(key: &str) -> Option<Source> {
    SOURCES.iter().copied().find(|s| s.key == key)
}

const fn line(key: &'static str, standing: SourceQuality, text: &'static str) -> Source {
    Source {
        key,
        text,
        standing,
    }
}

use SourceQuality::{Checked, CommonPractice, Memory, Own, Read};

/// Every source line, formulas first, then the defaults a co-op can edit.
pub const SOURCES: &[Source] = &[
    line(
        "density",
        Checked,
        "ICUMSA polynomial as printed in Bubnik, Kadlec, Urban, Bruhns, Sugar Technologists Manual, Bartens 1995, p. 164; checked against the CRC Handbook sucrose table: within 0.1 kg/m³ to 36 °Bx, 0.5 at 80.",
    ),
    line(
        "water_density",
        Checked,
        "Kell's formula; within 0.006 kg/m³ of IAPWS-95, 1–99 °C.",
    ),
    line(
        "baume",
        Checked,
        "US Baumé scale, modulus 145, from true specific gravity 20/20 °C; within 0.04 °Bé of Mohos 2010, Table A2.1.",
    ),
    line(
        "lb_per_gal",
        Checked,
        "Weight in air of 1.2 kg/m³; within 0.007 lb/gal of Asadi, Beet-Sugar Handbook, 2007, Table A.1.",
    ),
    line(
        "refractive_index",
        Checked,
        "Fifth-degree polynomial fitted to the ICUMSA table (public encyclopedia page); within 0.04 °Bx of the CRC Handbook to 66 °Bx.",
    ),
    line(
        "refractometer_correction",
        Checked,
        "Our own fit to the international correction table (GOST Table A.1, OIV-MA-AS2-02 Table I), 10–22 °C within 0.023 °Bx; above 22 °C a refraction model, about ±0.05.",
    ),
    line(
        "boiling_water",
        Checked,
        "IAPWS R7-97(2012), region 4; within 0.0002 °C of IAPWS-95.",
    ),
    line(
        "standard_atmosphere",
        Checked,
        "US Standard Atmosphere 1976; within 0.003 psi of its table.",
    ),
    line(
        "altimeter_setting",
        Read,
        "Smithsonian Meteorological Tables 1951, as public weather code documents it.",
    ),
    line(
        "boiling_rise",
        Checked,
        "Starzak and Peacock, Zuckerindustrie 122 (1997); pure sucrose ±0.2 °C to 67 °Bx, checked against maple's 7 °F rule and candy stages.",
    ),
    line(
        "latent_heat",
        Checked,
        "Cubic fitted to IAPWS-95, 0–125 °C, within 0.05 kJ/kg.",
    ),
    line(
        "specific_heat",
        Checked,
        "Linear in Brix, temperature and purity (Llano 2005 type); within 2–3 % of two other published formulas, 9 % above a third (Smith 2000).",
    ),
    line(
        "units",
        Checked,
        "NIST Handbook 44, Appendix C, and SP 811: exact definitions.",
    ),
    line(
        "factor_k",
        Own,
        "Default 1.10, from 1.00 to 1.30: Norrish's ratios for 10–40 % invert are 1.04–1.16. Learn your own from finished boils.",
    ),
    line(
        "finish_uncertainty",
        Own,
        "Spread of published boiling-point models for impure syrup: ±1.2 °C at 78 °Bx; ±0.5 °Bx once K is learned from three boils or more.",
    ),
    line(
        "unchecked_thermometer",
        CommonPractice,
        "±0.6 °C (about 1 °F) for a thermometer not checked in boiling water; ±0.3 °C for reading it there.",
    ),
    line(
        "juice_floor",
        CommonPractice,
        "12 °Bx warns, 10 refuses by vote: thinner juice takes more than 8 gallons a gallon of syrup. One cook keeps to 15.",
    ),
    line(
        "juice_limit",
        Read,
        "Amber 4 h, red 5 h above 50 °F: raw juice spoils in 5 to 12 h (Appl. Environ. Microbiol.; Tennessee thesis on semi-syrups: “within 5 h”).",
    ),
    line(
        "juice_limit_cool",
        Own,
        "12 h at 50 °F and below: a cautious step between published figures (12 h ambient in Quebec, 72 h at 4 °C).",
    ),
    line(
        "juice_limit_cold",
        Read,
        "72 h at 40 °F and below (CSBE/SCGAB meeting 2016; Tennessee thesis).",
    ),
    line(
        "cane_age",
        CommonPractice,
        "4 days warm, 7 cool, 48 h after a killing frost; beyond that smell it and use a pH strip (USDA-ARS/ICRISAT, BioEnergy Research 5:158, 2012; makers' accounts).",
    ),
    line(
        "ph",
        CommonPractice,
        "Refuse at 4.5 (spoiled, Appl. Environ. Microbiol.); warn at 4.7, the middle of that and fresh 4.9.",
    ),
    line(
        "extraction",
        CommonPractice,
        "Green from 45 of juice in 100 of cane (reprinted US extension text); amber and red limits are common practice.",
    ),
    line(
        "pan_rate",
        Read,
        "Start at 1.0 gallon of water a square foot an hour (maple flat pans; sorghum cooks with a hard fire plan 2–3), then learn your own.",
    ),
    line(
        "recovery",
        CommonPractice,
        "0.80 of the solids reach the jars, then learn your own middle figure: published “about 8 gallons a gallon” against 6.9 worked at 15 °Bx.",
    ),
    line(
        "finish",
        Read,
        "78 °Bx; law asks 74 % solids of cane sirup (21 CFR 168.130, read). Sorghum syrup has a rule of its own, 21 CFR 168.160: read it at ecfr.gov, or ask your state's office.",
    ),
    line(
        "fill_temperature",
        Read,
        "Fill at 150 °F at least, 180–185 °F is the aim (reprinted US extension text; maple packing notes).",
    ),
    line(
        "split",
        Own,
        "By weight of sugar brought, to the gram; the grams that are over go to the largest fractions, and what fills no jar is carried.",
    ),
    line(
        "toll",
        Read,
        "None until voted. Mills have taken a third, two fifths, or cash.",
    ),
    line(
        "two_readings",
        CommonPractice,
        "Two Brix readings must agree within 0.5, else a third is taken and the middle one counts; instruments read to ±0.2.",
    ),
    line(
        "hours",
        CommonPractice,
        "Hours are written down, and the members set the credit and its cap: volunteers and payers quarrel where neither is written.",
    ),
    line(
        "losses",
        CommonPractice,
        "Who bears a scorched batch is chosen before the season: its own members, or everybody.",
    ),
    line(
        "shelf",
        CommonPractice,
        "Who answers for a jar that breaks or is lost while it waits at the mill is said before the season.",
    ),
    line(
        "lots_repay",
        CommonPractice,
        "How much of a lot may repay members without juice in it, who are owed syrup from an earlier lot, is for the members to say.",
    ),
    line(
        "patronage",
        Read,
        "A patronage refund is paid by use, under a rule that stood before the margin was earned, alike for all (26 USC 1388, as summarised for co-operatives).",
    ),
    line(
        "read_again",
        CommonPractice,
        "A second person reads a sample drawn by lot: whoever measures knows that any ticket may be read again. The lot is the SHA-256 of the day and the ticket’s id, so anybody can work it out.",
    ),
    line(
        "second_signature",
        CommonPractice,
        "Four eyes: whoever did not do the sums reads them over before anything is given out, and signs. Bookkeeping and the post of a treasurer know it as two signatures.",
    ),
    line(
        "record_keeping",
        Read,
        "2 years at least (FDA answer as quoted in a quality forum); 3 suggested.",
    ),
    line(
        "feed_warning",
        Read,
        "Keep stock off the regrowth for 14 days after any frost and until it is 30 inches high: the strictest of four advices (Nebraska 2022, Missouri 2019 and two others).",
    ),
    line(
        "row_yield",
        Own,
        "2 kg of stripped cane a metre (1.34 lb a foot): about a ton from 1,500 ft of a small grower’s row (common practice). Virginia trials of 9.4 to 24.1 short tons an acre (J. Sustainable Bioenergy Systems 3(2), 2013), in rows 40 inches apart, are 2.1 to 5.5 kg a metre. Weigh a stretch of yours.",
    ),
    line(
        "stalk_weight",
        CommonPractice,
        "About a pound for a stripped stalk. Weigh ten of yours.",
    ),
    line(
        "atc_range",
        CommonPractice,
        "Self-compensating refractometers: 10–30 °C (50–86 °F).",
    ),
    line(
        "efficiency",
        CommonPractice,
        "A guess until the mill's own is learned: 50 % of the heat reaches the juice with gas, 40 % with wood; published open pans give 15–76 %.",
    ),
    line(
        "scale_tolerance",
        Checked,
        "Class III maintenance tolerance: NIST Handbook 44, section 2.20, table 6.",
    ),
    line(
        "refractometer_zero",
        CommonPractice,
        "±0.2 °Bx in clean water: what hand refractometers read to. Look again at noon and after any drop.",
    ),
    line(
        "water_boil_within",
        Own,
        "±1.5 °C (2.7 °F) around what the height says: an inch of mercury of weather moves it 0.94 °C, an unchecked thermometer is ±0.6 °C.",
    ),
    line(
        "carbon_monoxide",
        Read,
        "Small petrol engines reach dangerous levels within minutes, even with doors open: NIOSH 96-118.",
    ),
    line(
        "guards",
        Read,
        "Stop, disconnect the power and wait for all motion to cease before servicing or unclogging; guards in place: 29 CFR 1928.57.",
    ),
    line(
        "weigh_day",
        Own,
        "Fire, cleaning and the way there: so much that, with a crew of four, a day counts about a hundred kilograms (220 lb) of cane.",
    ),
    line(
        "weigh_person",
        Own,
        "A day at the mill is a day away from one’s own cane: about fifteen kilograms (33 lb) of it.",
    ),
    line(
        "weigh_short",
        Own,
        "A pan half full takes nearly the wood and the hours of a full one: a twentieth of what is missing is counted.",
    ),
    line(
        "weigh_wait",
        Own,
        "Juice that waits within its limit loses little; past the limit nothing is proposed at all.",
    ),
    line(
        "weigh_move",
        Own,
        "So that nobody is moved for a day or two of ripeness.",
    ),
    line(
        "weigh_step",
        Own,
        "The member who loses most comes first, in steps: within one step the loss of all together decides.",
    ),
    line(
        "weigh_edge",
        CommonPractice,
        "Within the days that a planting is ready the difference is small.",
    ),
    line(
        "weigh_early",
        CommonPractice,
        "Juice gains about 0.2 °Bx a day of some 15 until it is ripe, one part in 75. The season’s own turns correct it.",
    ),
    line(
        "weigh_late",
        Own,
        "Seed draws on the sugar of the stalk, and stalks lodge; ripe heads left on took juice from about 18 to 15 °Bx in one trial. The season’s own turns correct it.",
    ),
    line(
        "weigh_frost",
        CommonPractice,
        "Killed cane is good for about 48 hours, and a mill never presses all of it in that time.",
    ),
    line(
        "vessel_growth",
        Memory,
        "A steel vessel is about 0.3 % larger at 85 °C than at 20; left out.",
    ),
];

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_source_has_its_own_key_and_a_whole_sentence() {
        let keys: BTreeSet<_> = SOURCES.iter().map(|s| s.key).collect();
        assert_eq!(keys.len(), SOURCES.len());
        for found in SOURCES {
            assert!(found.text.ends_with('.'), "{}", found.key);
            assert_eq!(source(found.key), Some(*found));
        }
        assert_eq!(source("nothing such"), None);
    }
}
