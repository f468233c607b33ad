//! Seasons with their rules: the version in force on a day, and every version that was made.

use crate::calc::season::versions::{self, Version};
use crate::calc::season::weights::Weights;
use crate::facts::rules_versions;
use crate::store::season::seasons::{self, JarSize, Rules, Season};
use crate::store::season::weights;
use crate::store::{Conn, Question, Stored, Together};
use crate::units::{MemberName, PressDate};

/// A season with the version of its rules that is in force on a day.
#[derive(Debug, Clone)]
pub struct SeasonRules {
    /// The season.
    pub season: Season,
    /// The version in force; where nobody confirmed one that is, the one that would come next.
    pub rules: Rules,
    /// Jar sizes of that version, largest first.
    pub sizes: Vec<JarSize>,
}

impl SeasonRules {
    async fn of(conn: &mut Conn, season: Season, rules: Rules) -> Stored<Self> {
        let sizes = seasons::jar_sizes(rules.id).ask(conn).await?;
        Ok(Self {
            season,
            rules,
            sizes,
        })
    }

    /// Whether this version is confirmed and holds on that day.
    pub fn holds_on(&self, date: PressDate) -> bool {
        self.rules.holds_from.is_some_and(|from| from <= date)
    }

    /// The season of that year with what is in force on a day; `None`: it was not opened.
    ///
    /// # Errors
    /// The store failed.
    pub async fn of_year(conn: &mut Conn, year: i64, on: PressDate) -> Stored<Option<Self>> {
        let nothing = |_: &Season| Question::answered(());
        let found = Self::of_year_with(conn, year, on, nothing).await?;
        Ok(found.map(|(season, ())| season))
    }

    /// As [`Self::of_year`], and what is asked besides of the season, in the message that asks for its rules.
    ///
    /// # Errors
    /// The store failed.
    pub async fn of_year_with<T: Send + 'static>(
        conn: &mut Conn,
        year: i64,
        on: PressDate,
        besides: impl FnOnce(&Season) -> Question<T> + Send,
    ) -> Stored<Option<(Self, T)>> {
        let Some(season) = seasons::of_year(year).ask(conn).await? else {
            return Ok(None);
        };
        let found = (rules_versions::on(season.id, on), besides(&season)).together();
        let (rules, besides) = found.ask(conn).await?;
        Ok(Some((Self::of(conn, season, rules).await?, besides)))
    }

    /// The season of that year with the version that was made last, draft or not: what a new one starts from.
    ///
    /// # Errors
    /// The store failed.
    pub async fn made_last(conn: &mut Conn, year: i64) -> Stored<Option<Self>> {
        let Some(season) = seasons::of_year(year).ask(conn).await? else {
            return Ok(None);
        };
        let rules = rules_versions::made_last(season.id).ask(conn).await?;
        Ok(Some(Self::of(conn, season, rules).await?))
    }

    /// The latest season with the rules that it ends with: what the next one starts from. `None`: none was opened.
    ///
    /// # Errors
    /// The store failed.
    pub async fn latest_at_its_end(conn: &mut Conn) -> Stored<Option<Self>> {
        let Some(season) = seasons::latest().ask(conn).await? else {
            return Ok(None);
        };
        let rules = rules_versions::at_the_end(season.id).ask(conn).await?;
        Ok(Some(Self::of(conn, season, rules).await?))
    }

    /// All seasons, latest first, each with what is in force on a day.
    ///
    /// # Errors
    /// The store failed.
    pub async fn all(conn: &mut Conn, on: PressDate) -> Stored<Vec<Self>> {
        let mut all = Vec::new();
        for season in seasons::list().ask(conn).await? {
            let rules = rules_versions::on(season.id, on).ask(conn).await?;
            all.push(Self::of(conn, season, rules).await?);
        }
        Ok(all)
    }
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

impl Version for RulesVersion {
    fn holds_from(&self) -> Option<PressDate> {
        self.rules.holds_from
    }
    fn number(&self) -> i64 {
        self.rules.number
    }
}

impl SeasonVersions {
    /// The version that holds on a day; `None`: nobody confirmed one that does.
    pub fn holding(&self, date: PressDate) -> Option<&RulesVersion> {
        versions::confirmed_on(&self.versions, date)
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
        let found = (
            seasons::rules_makers(season.id),
            seasons::rules_list(season.id),
        );
        let (makers, all) = found.together().ask(conn).await?;
        let sizes = all.iter().map(|rules| seasons::jar_sizes(rules.id));
        let found = (
            weights::of_versions(all.iter().map(|rules| rules.id)),
            Question::all(sizes),
        );
        let (voted, sizes) = found.together().ask(conn).await?;
        let mut versions = Vec::new();
        // All three are in one order: latest first.
        for ((rules, maker), sizes) in all.into_iter().zip(makers).zip(sizes) {
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
