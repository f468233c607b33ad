//! Seasons with their rules: the version in force, and every version that was made.

use crate::calc::season::weights::Weights;
use crate::store::season::seasons::{self, JarSize, Rules, Season};
use crate::store::season::weights;
use crate::store::{Conn, Stored};
use crate::units::{MemberName, PressDate};

/// A season with the version of its rules that is in force.
#[derive(Debug, Clone)]
pub struct SeasonRules {
    /// The season.
    pub season: Season,
    /// The version in force.
    pub rules: Rules,
    /// Jar sizes of that version, largest first.
    pub sizes: Vec<JarSize>,
}

impl SeasonRules {
    async fn of(conn: &mut Conn, season: Season) -> Stored<Self> {
        let rules = seasons::rules_in_force(season.id).ask(conn).await?;
        let sizes = seasons::jar_sizes(rules.id).ask(conn).await?;
        Ok(Self {
            season,
            rules,
            sizes,
        })
    }

    /// The season of that year; `None`: it was not opened.
    ///
    /// # Errors
    /// The store failed.
    pub async fn of_year(conn: &mut Conn, year: i64) -> Stored<Option<Self>> {
        match seasons::of_year(year).ask(conn).await? {
            Some(season) => Ok(Some(Self::of(conn, season).await?)),
            None => Ok(None),
        }
    }

    /// The season of that year with the version that was made last, draft or not: what a new one starts from.
    ///
    /// # Errors
    /// The store failed.
    pub async fn made_last(conn: &mut Conn, year: i64) -> Stored<Option<Self>> {
        let Some(season) = seasons::of_year(year).ask(conn).await? else {
            return Ok(None);
        };
        let rules = seasons::rules_made_last(season.id).ask(conn).await?;
        let sizes = seasons::jar_sizes(rules.id).ask(conn).await?;
        Ok(Some(Self {
            season,
            rules,
            sizes,
        }))
    }

    /// The latest season; `None`: none was opened.
    ///
    /// # Errors
    /// The store failed.
    pub async fn latest(conn: &mut Conn) -> Stored<Option<Self>> {
        match latest(conn).await? {
            Some(season) => Ok(Some(Self::of(conn, season).await?)),
            None => Ok(None),
        }
    }

    /// All seasons, latest first.
    ///
    /// # Errors
    /// The store failed.
    pub async fn all(conn: &mut Conn) -> Stored<Vec<Self>> {
        let mut all = Vec::new();
        for season in seasons::list().ask(conn).await? {
            all.push(Self::of(conn, season).await?);
        }
        Ok(all)
    }
}

/// The latest season; `None`: none was opened.
///
/// # Errors
/// The store failed.
pub async fn latest(conn: &mut Conn) -> Stored<Option<Season>> {
    Ok(seasons::list().ask(conn).await?.into_iter().next())
}

/// One version of a season's rules.
#[derive(Debug, Clone)]
pub struct RulesVersion {
    /// What the version says.
    pub rules: Rules,
    /// Jar sizes of the version, largest first.
    pub sizes: Vec<JarSize>,
    /// What each loss and cost counts when turns are proposed.
    pub weights: Weights,
    /// Name of who made the version.
    pub made_by: MemberName,
    /// Name of who confirmed it; `None`: it is a draft.
    pub confirmed_by: Option<MemberName>,
}

/// A season with every version of its rules.
#[derive(Debug, Clone)]
pub struct SeasonVersions {
    /// The season.
    pub season: Season,
    /// The versions of its rules, latest first, drafts included.
    pub versions: Vec<RulesVersion>,
}

impl SeasonVersions {
    /// The version that holds on a day; `None`: nobody confirmed one that does.
    pub fn holding(&self, date: PressDate) -> Option<&RulesVersion> {
        let holds = |v: &&RulesVersion| v.rules.holds_from.is_some_and(|from| from <= date);
        self.versions
            .iter()
            .filter(holds)
            .max_by_key(|v| (v.rules.holds_from, v.rules.number))
    }

    /// The version made last, when it is a draft.
    pub fn draft(&self) -> Option<&RulesVersion> {
        self.versions
            .first()
            .filter(|v| v.rules.holds_from.is_none())
    }

    /// Versions that are confirmed and hold from a later day than this one.
    pub fn to_come(&self, date: PressDate) -> impl Iterator<Item = &RulesVersion> {
        self.versions
            .iter()
            .filter(move |v| v.rules.holds_from.is_some_and(|from| from > date))
    }
}

impl SeasonVersions {
    /// The season of that year; `None`: it was not opened.
    ///
    /// # Errors
    /// The store failed.
    pub async fn of_year(conn: &mut Conn, year: i64) -> Stored<Option<Self>> {
        let Some(season) = seasons::of_year(year).ask(conn).await? else {
            return Ok(None);
        };
        let makers = seasons::rules_makers(season.id).ask(conn).await?;
        let mut versions = Vec::new();
        // Both are in one order: latest first.
        let all = seasons::rules_list(season.id).ask(conn).await?;
        let voted = weights::of_versions(conn, all.iter().map(|rules| rules.id)).await?;
        for (rules, maker) in all.into_iter().zip(makers) {
            let sizes = seasons::jar_sizes(rules.id).ask(conn).await?;
            let own = voted.iter().find(|(id, _)| *id == rules.id);
            versions.push(RulesVersion {
                weights: own.map_or(Weights::DEFAULT, |(_, own)| *own),
                rules,
                sizes,
                made_by: maker.made_by,
                confirmed_by: maker.confirmed_by,
            });
        }
        Ok(Some(Self { season, versions }))
    }
}
