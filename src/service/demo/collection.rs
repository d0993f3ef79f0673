//! The demo collection: an imaginary designer's pieces from the salt marsh, put into the store at its first start so that
//! there is something to look at.

use futures_util::future::BoxFuture;

use crate::access::StudioId;
use crate::api::designs::{read, slug_of};
use crate::problem::Problem;
use crate::store::designs::{self, Draft};
use crate::store::{Connection, Store, clock, sql};

/// What the store remembers it by.
const SEED: &str = "demo-collection";

/// A piece: its title, its pattern or its plan, and other members of the design.
struct Piece {
    title: &'static str,
    pattern: Option<&'static str>,
    plan: Option<&'static str>,
    more: &'static str,
}

const PIECES: &[Piece] = &[
    Piece {
        title: "Tidepool Coaster",
        pattern: Some(super::HOLDS),
        plan: None,
        more: r#""yarns": [{"colour": "A", "yarn_weight": 4, "ball": {"length": {"m": 85}, "weight": {"g": 50}}}, {"colour": "B", "yarn_weight": 4, "ball": {"length": {"m": 85}, "weight": {"g": 50}}}], "gauge": {"stitch": "sc", "stitches": 14, "rows": 16, "over": {"in": 4}}"#,
    },
    Piece { title: "Curlew Cap", pattern: None, plan: Some(include_str!("plans/curlew-cap.json")), more: "" },
    Piece { title: "Eelgrass Mitts", pattern: None, plan: Some(include_str!("plans/eelgrass-mitts.json")), more: "" },
    Piece {
        title: "Driftline Blanket",
        pattern: None,
        plan: Some(include_str!("plans/driftline-blanket.json")),
        more: "",
    },
    Piece { title: "Cordgrass Cowl", pattern: None, plan: Some(include_str!("plans/cordgrass-cowl.json")), more: "" },
    Piece {
        title: "Curlew Cable Cap",
        pattern: Some(include_str!("collection/curlew-cable-cap.txt")),
        plan: None,
        more: "",
    },
    Piece {
        title: "Sea Lavender Bonnet",
        pattern: Some(include_str!("collection/sea-lavender-bonnet.txt")),
        plan: None,
        more: "",
    },
    Piece {
        title: "Tidepool Hexagon",
        pattern: Some(include_str!("collection/tidepool-hexagon.txt")),
        plan: None,
        more: "",
    },
    Piece { title: "Samphire Tub", pattern: Some(include_str!("collection/samphire-tub.txt")), plan: None, more: "" },
    Piece {
        title: "Curlew Cushion Front",
        pattern: Some(include_str!("collection/curlew-cushion-front.txt")),
        plan: None,
        more: "",
    },
];

impl Piece {
    fn draft(&self) -> Result<Draft, Problem> {
        let title = serde_json::Value::from(self.title);
        let what = match (self.pattern, self.plan) {
            (Some(pattern), _) => format!("\"pattern\": {}", serde_json::Value::from(pattern)),
            (None, plan) => format!("\"plan\": {}", plan.unwrap_or("{}")),
        };
        let comma = if self.more.is_empty() { "" } else { ", " };
        read(&format!("{{\"title\": {title}, {what}{comma}{}}}", self.more), Vec::new())
    }
}

/// Puts the collection into a store in which nothing is kept yet, all of it published, once.
///
/// # Errors
/// As the database has it.
pub async fn seed(store: &Store) -> Result<(), Problem> {
    // A look first, so that an ordinary start neither grades plans nor writes.
    let asked = sql::statement("SELECT count(*) FROM seeds WHERE name = $1").bind(SEED);
    let (done,): (i64,) = asked.row(store.readers()).await?;
    if done > 0 {
        return Ok(());
    }
    let mut drafts = Vec::with_capacity(PIECES.len());
    for piece in PIECES {
        drafts.push(piece.draft()?);
    }
    store
        .write(StudioId::DEFAULT, move |connection| -> BoxFuture<'_, Result<(), Problem>> {
            Box::pin(async move { put(connection, &drafts).await })
        })
        .await
}

async fn put(connection: &mut Connection, drafts: &[Draft]) -> Result<(), Problem> {
    // Whoever comes second, of two copies that start at once, finds the mark.
    let mark = sql::statement("INSERT INTO seeds (name, created_at) VALUES ($1, $2) ON CONFLICT (name) DO NOTHING");
    if mark.bind(SEED).bind(clock::now()).run(&mut *connection).await? == 0 {
        return Ok(());
    }
    // A studio that keeps something already did not come to look around.
    let kept = sql::statement(
        "SELECT (SELECT count(*) FROM designs) + (SELECT count(*) FROM yarns) + (SELECT count(*) FROM keys) AS kept",
    );
    let (kept,): (i64,) = kept.row(&mut *connection).await?;
    if kept > 0 {
        return Ok(());
    }
    for draft in drafts {
        let stored = designs::insert(&mut *connection, StudioId::DEFAULT, draft).await?;
        designs::publish(&mut *connection, &stored, 1, &slug_of(&draft.title)).await?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn the_collection_is_put_in_once_and_only_where_nothing_is_kept() {
        let store = Store::open("sqlite::memory:").await.unwrap();
        for _ in 0..2 {
            seed(&store).await.unwrap();
            let listed = designs::published(store.readers(), "", 100).await.unwrap();
            assert_eq!(listed.len(), PIECES.len());
        }
        let store = Store::open("sqlite::memory:").await.unwrap();
        sql::statement("INSERT INTO yarns (id, studio_id, name, created_at, updated_at) VALUES ('0199d6f0-6c3a-7b52-9d41-6f0c2ab1e47c', 1, 'Samphire', '2026-03-02T07:30:00.000Z', '2026-03-02T07:30:00.000Z')")
            .run(store.readers())
            .await
            .unwrap();
        seed(&store).await.unwrap();
        assert!(designs::published(store.readers(), "", 100).await.unwrap().is_empty());
    }
}
