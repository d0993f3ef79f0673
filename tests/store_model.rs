//! The store against a plain model in memory: thousands of random operations, equal after each one. Runs on either database.

mod support;

use std::collections::BTreeMap;

use evenround::access::StudioId;
use evenround::problem::Problem;
use evenround::store::designs::{self, Draft};
use evenround::store::{Store, keys, reports};

/// Steps of one run, and of one with `EVENROUND_LONG`.
const STEPS: usize = 3_000;
const LONG_STEPS: usize = 60_000;

#[derive(Debug, Clone, PartialEq)]
struct Design {
    studio: i64,
    revisions: Vec<(String, String, Option<i64>)>,
    slug: Option<String>,
    published: Option<i64>,
    retired: bool,
    reports: Vec<(String, i64, String)>,
}

/// By their order.
#[derive(Debug, Default)]
struct Model {
    designs: BTreeMap<i64, (String, Design)>,
}

/// xorshift64*, so that a run can be had again from its seed.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 33) as usize % sides
    }
}

fn draft(n: usize) -> Draft {
    Draft {
        title: format!("Кулик {n} — e\u{301}"),
        content: format!(
            r#"{{"title":"Кулик {n}","pattern":"Rnd 1: {n} sc in magic ring. ({n})","notes":"a\nb'\";--"}}"#
        ),
        graded: n.is_multiple_of(3).then(|| format!("graded {n}")),
    }
}

/// What the store has of a design, in the model's shape.
async fn stored(store: &Store, studio: StudioId, id: &str) -> Option<Design> {
    let readers = store.readers();
    let design = designs::get(readers, studio, id).await.unwrap()?;
    let mut revisions = Vec::new();
    let mut below = i64::MAX;
    loop {
        let listed = designs::revisions(readers, studio, id, below, 7).await.unwrap();
        let Some(last) = listed.last() else { break };
        below = last.number;
        for one in listed {
            let whole = designs::revision(readers, studio, id, one.number).await.unwrap().unwrap();
            assert_eq!((one.number, &one.title, one.restored_from), (whole.number, &whole.title, whole.restored_from));
            revisions.push((whole.title, whole.content, whole.restored_from));
        }
    }
    revisions.reverse();
    assert_eq!(revisions.len() as i64, design.revision);
    let newest = revisions.last().unwrap();
    assert_eq!((&newest.0, &newest.1), (&design.title, &design.content));
    let kept = reports::list(readers, studio, id, 0, 1000).await.unwrap();
    Some(Design {
        studio: studio.number(),
        revisions,
        slug: design.slug,
        published: design.published_revision,
        retired: design.retired_at.is_some(),
        reports: kept.into_iter().map(|report| (report.id, report.revision, report.content)).collect(),
    })
}

async fn walk(store: &Store, seed: u64, steps: usize) {
    let mut dice = Dice(seed);
    let mut model = Model::default();
    let other = store
        .write(StudioId::DEFAULT, |connection| {
            Box::pin(async move { Ok(keys::add_studio(connection, "Samphire").await?) })
        })
        .await
        .unwrap();
    let studios = [StudioId::DEFAULT, other];
    let mut done = BTreeMap::<&str, usize>::new();
    for step in 0..steps {
        let positions: Vec<i64> = model.designs.keys().copied().collect();
        let pick = (!positions.is_empty()).then(|| positions[dice.roll(positions.len().max(1))]);
        let what = if positions.len() < 3 { 0 } else { dice.roll(12) };
        let n = step + 1;
        let studio = pick.map_or(studios[dice.roll(2)], |at| StudioId::numbered(model.designs[&at].1.studio));
        let id = pick.map(|at| model.designs[&at].0.clone()).unwrap_or_default();
        let mut touched = id.clone();
        let name = match (what, pick) {
            (0, _) | (_, None) => {
                let studio = studios[dice.roll(2)];
                let fresh = store
                    .write(studio, move |c| Box::pin(async move { Ok(designs::insert(c, studio, &draft(n)).await?) }))
                    .await
                    .unwrap();
                touched = fresh.id.clone();
                let design = Design {
                    studio: studio.number(),
                    revisions: vec![(draft(n).title, draft(n).content, None)],
                    slug: None,
                    published: None,
                    retired: false,
                    reports: Vec::new(),
                };
                model.designs.insert(fresh.position, (fresh.id, design));
                "insert"
            }
            (1..=4, Some(at)) => {
                let from = id.clone();
                let old =
                    if what == 4 { Some(1 + dice.roll(model.designs[&at].1.revisions.len()) as i64) } else { None };
                store
                    .write(studio, move |c| {
                        Box::pin(async move {
                            let present = designs::get(&mut *c, studio, &from).await?.unwrap();
                            let draft = match old {
                                None => draft(n),
                                Some(old) => {
                                    let old = designs::revision(&mut *c, studio, &from, old).await?.unwrap();
                                    Draft { title: old.title, content: old.content, graded: old.graded }
                                }
                            };
                            Ok(designs::revise(c, &present, &draft, old).await?)
                        })
                    })
                    .await
                    .unwrap();
                let design = &mut model.designs.get_mut(&at).unwrap().1;
                let (title, content) = match old {
                    None => (draft(n).title, draft(n).content),
                    Some(old) => {
                        let old = design.revisions[old as usize - 1].clone();
                        (old.0, old.1)
                    }
                };
                design.revisions.push((title, content, old));
                design.retired = false;
                if old.is_some() { "restore" } else { "revise" }
            }
            (5 | 6, Some(at)) => {
                let design = &mut model.designs.get_mut(&at).unwrap().1;
                if design.retired {
                    continue;
                }
                let revision = 1 + dice.roll(design.revisions.len()) as i64;
                let slug = design.slug.clone().unwrap_or_else(|| format!("kulik-{n}"));
                (design.published, design.slug) = (Some(revision), Some(slug.clone()));
                store
                    .write(studio, move |c| {
                        Box::pin(async move {
                            let present = designs::get(&mut *c, studio, &id).await?.unwrap();
                            Ok(designs::publish(c, &present, revision, &slug).await?)
                        })
                    })
                    .await
                    .unwrap();
                "publish"
            }
            (7, Some(at)) => {
                model.designs.get_mut(&at).unwrap().1.published = None;
                store
                    .write(studio, move |c| {
                        Box::pin(async move {
                            let present = designs::get(&mut *c, studio, &id).await?.unwrap();
                            Ok(designs::unpublish(c, &present).await?)
                        })
                    })
                    .await
                    .unwrap();
                "unpublish"
            }
            (8, Some(at)) => {
                let design = &mut model.designs.get_mut(&at).unwrap().1;
                (design.published, design.retired) = (None, true);
                store
                    .write(studio, move |c| {
                        Box::pin(async move {
                            let present = designs::get(&mut *c, studio, &id).await?.unwrap();
                            Ok(designs::retire(c, &present).await?)
                        })
                    })
                    .await
                    .unwrap();
                "retire"
            }
            (9, Some(at)) => {
                let design = &mut model.designs.get_mut(&at).unwrap().1;
                let revision = 1 + dice.roll(design.revisions.len()) as i64;
                let content = format!(r#"{{"size":"Small {n}"}}"#);
                let told = content.clone();
                let kept = store
                    .write(studio, move |c| Box::pin(async move { Ok(reports::insert(c, at, revision, &told).await?) }))
                    .await
                    .unwrap();
                design.reports.push((kept.id, revision, content));
                "report"
            }
            (10, Some(at)) => {
                let design = &mut model.designs.get_mut(&at).unwrap().1;
                let Some(report) = design.reports.pop() else { continue };
                let removed = store
                    .write(studio, move |c| Box::pin(async move { Ok(reports::remove(c, at, &report.0).await?) }))
                    .await
                    .unwrap();
                assert!(removed);
                "remove report"
            }
            (_, Some(_)) => {
                // A write that fails in its middle leaves nothing.
                let failed: Result<(), Problem> = store
                    .write(studio, move |c| {
                        Box::pin(async move {
                            let present = designs::get(&mut *c, studio, &id).await?.unwrap();
                            designs::revise(&mut *c, &present, &draft(n), None).await?;
                            designs::retire(c, &present).await?;
                            Err(Problem::new(evenround::problem::STALE, "on purpose"))
                        })
                    })
                    .await;
                assert!(failed.is_err());
                "fail"
            }
        };
        *done.entry(name).or_default() += 1;
        let everything = step % 250 == 0 || step + 1 == steps;
        for (id, design) in model.designs.values().filter(|(id, _)| everything || *id == touched) {
            let owner = StudioId::numbered(design.studio);
            assert_eq!(stored(store, owner, id).await.as_ref(), Some(design), "step {step} of seed {seed}: {name}");
            let stranger = if owner == other { StudioId::DEFAULT } else { other };
            assert!(designs::get(store.readers(), stranger, id).await.unwrap().is_none());
        }
        for studio in studios {
            for retired in [false, true] {
                let listed = designs::list(store.readers(), studio, retired, 0, 10_000).await.unwrap();
                let listed: Vec<_> = listed.into_iter().map(|one| (one.id, one.title)).collect();
                let of_studio = model.designs.values().filter(|(_, design)| design.studio == studio.number());
                let expected: Vec<_> = of_studio
                    .filter(|(_, design)| design.retired == retired)
                    .map(|(id, design)| (id.clone(), design.revisions.last().unwrap().0.clone()))
                    .collect();
                assert_eq!(listed, expected, "step {step} of seed {seed}: {name}");
            }
        }
        let published = designs::published(store.readers(), "", 10_000).await.unwrap();
        let published: BTreeMap<_, _> =
            published.into_iter().map(|one| (one.slug, (one.id, one.revision, one.title))).collect();
        let expected: BTreeMap<_, _> = model
            .designs
            .values()
            .filter_map(|(id, design)| {
                let revision = design.published?;
                let title = design.revisions[revision as usize - 1].0.clone();
                Some((design.slug.clone()?, (id.clone(), revision, title)))
            })
            .collect();
        assert_eq!(published, expected, "step {step} of seed {seed}: {name}");
    }
    println!("{steps} steps of seed {seed}: {done:?}");
    assert!(done.len() >= 9, "every operation was tried: {done:?}");
}

#[tokio::test]
async fn thousands_of_random_operations_leave_the_store_as_the_model_says() {
    let steps = if std::env::var_os("EVENROUND_LONG").is_some() { LONG_STEPS } else { STEPS };
    let seed = std::env::var("EVENROUND_SEED").ok().and_then(|seed| seed.parse().ok()).unwrap_or(0x0e7e_2026);
    let store = Store::open(&support::database().await).await.unwrap();
    walk(&store, seed, steps).await;
}

#[tokio::test]
async fn a_revision_cannot_be_changed_or_removed_even_by_hand() {
    use evenround::store::sql::statement;
    let store = Store::open(&support::database().await).await.unwrap();
    let studio = StudioId::DEFAULT;
    store
        .write(studio, move |c| Box::pin(async move { Ok(designs::insert(c, studio, &draft(1)).await?) }))
        .await
        .unwrap();
    for text in ["UPDATE revisions SET title = 'x'", "DELETE FROM revisions"] {
        let refused = store.write(studio, move |c| Box::pin(async move { Ok(statement(text).run(c).await?) })).await;
        assert!(refused.is_err(), "{text}");
    }
    // A design without its revision is not kept either.
    let half = store
        .write(studio, |c| {
            Box::pin(async move {
                let insert = "INSERT INTO designs (id, studio_id, revision, created_at, updated_at)
                              VALUES ('0199d6f0-6c3a-7b52-9d41-6f0c2ab1e47c', 1, 1, '2026-03-02T07:30:00.000Z', '2026-03-02T07:30:00.000Z')";
                Ok(statement(insert).run(c).await?)
            })
        })
        .await;
    assert!(half.is_err());
    assert_eq!(designs::list(store.readers(), studio, false, 0, 10).await.unwrap().len(), 1);
}
