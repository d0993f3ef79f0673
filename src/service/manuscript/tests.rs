use evenround_calc::verify::{Request, verify};
use proptest::prelude::*;

use super::*;

fn html(original: &str) -> String {
    Manuscript::read(original, Markup::Html).text().to_owned()
}

fn markdown(original: &str) -> String {
    Manuscript::read(original, Markup::Markdown).text().to_owned()
}

#[test]
fn lines_of_a_page_end_where_a_browser_ends_them() {
    assert_eq!(html("<p>Rnd <b>1</b>:\n 6&nbsp;sc.</p>\n<p>Rnd 2<br/>(12)</p>"), "Rnd 1: 6 sc.\n\nRnd 2\n(12)");
    assert_eq!(html("<div>a<div>b</div>c</div><span>d</span>"), "a\nb\nc\nd");
    assert_eq!(html("a<br><br>b<p>&nbsp;<p>c"), "a\n\nb\n\nc");
    assert_eq!(html("<dl><dt>inc<dd>2 sc<dt>dec<dd>sc2tog</dl>x"), "inc\n2 sc\ndec\nsc2tog\n\nx");
    assert_eq!(html("<pre>\nRow 1:  sc\n  &lt;b></pre>"), "Row 1:  sc\n  <b>");
    assert_eq!(html("<h2>Sizes</h2><p>S (M)</p>"), "Sizes\nS (M)");
    assert_eq!(html("&frac12; &times; &#8211;&amp;&lt;"), "½ × –&<");
}

#[test]
fn what_is_not_seen_or_was_struck_out_is_no_pattern_text() {
    let gone = [
        "<script>Rnd 1</script>",
        "<style>Rnd 1</style>",
        "<!-- Rnd 1 -->",
        "<head><title>Rnd 1</title></head>",
        "<template><p>Rnd 1</template>",
        "<nav>Rnd 1</nav>",
        "<p hidden>Rnd 1<p>",
        "<span style='display: none'>Rnd 1</span>",
        "<noscript>Rnd 1</noscript>",
        "<s>Rnd 1</s>",
        "<del>Rnd <p>1</p></del>",
        "<img alt='Rnd 1'>",
        "<svg><text>Rnd 1</text></svg>",
        "<textarea>Rnd 1</textarea>",
        "<div hidden><div>Rnd 1</div>Rnd 1</div>",
        "<input value='Rnd 1'>",
    ];
    for piece in gone {
        let text = html(&format!("before {piece} after"));
        assert_eq!(text.split_whitespace().collect::<Vec<_>>(), ["before", "after"], "{piece}");
    }
}

#[test]
fn figures_raised_are_parts_of_fractions_or_lead_to_notes() {
    assert_eq!(html("2<sup>nd</sup> ch"), "2nd ch");
    assert_eq!(html("5<sup>1</sup>/<sub>2</sub> mm"), "5 1/2 mm");
    assert_eq!(html("in next st<sup>1</sup>. 10 cm<sup>2</sup>"), "in next st. 10 cm");
    assert_eq!(html("st<sup><a href='#n'>[1]</a></sup>, sc"), "st, sc");
}

#[test]
fn items_have_the_numbers_that_a_page_shows_unless_they_name_their_row() {
    assert_eq!(html("<ol><li>6 sc in ring<li>2 sc in each st</ol>"), "1. 6 sc in ring\n2. 2 sc in each st");
    assert_eq!(html("<ol start=5><li>6 sc<li value=9>7 sc</ol>"), "5. 6 sc\n9. 7 sc");
    assert_eq!(html("<ol><li><b>Rnd 1:</b> 6 sc</li><li>Rnd 2: 12 sc</ol>"), "Rnd 1: 6 sc\nRnd 2: 12 sc");
    assert_eq!(html("<ol type=a><li>6 sc</ol><ul><li>7 sc</ul>"), "6 sc\n\n7 sc");
    assert_eq!(markdown("1. 6 sc\n1. 7 sc\n"), "1. 6 sc\n2. 7 sc");
    assert_eq!(markdown("4. 6 sc\n7) 7 sc\n"), "4. 6 sc\n\n7. 7 sc".replace("\n\n7. ", "\n7) "));
}

#[test]
fn rows_of_a_table_are_lines_with_bars_where_they_are_rows() {
    assert_eq!(
        html("<table><tr><td>inc<td>2 sc<tr><td><p>dec</p></td><td>sc2tog</table>"),
        "| inc | 2 sc |\n| dec | sc2tog |"
    );
    assert_eq!(html("<table><tr><td>CAP<br>Rnd 1: 6 sc</td></tr></table>"), "CAP\nRnd 1: 6 sc");
    assert_eq!(html("<table><tr><td>CAP<br>Rnd 1: 6 sc</td><td>menu</td></tr></table>"), "CAP\nRnd 1: 6 sc\nmenu");
    assert!(markdown("| a | b |\n|---|---|\n| inc | 2 sc |\n").ends_with("| inc | 2 sc |"));
}

#[test]
fn stars_of_a_repeat_stay_and_those_of_emphasis_go() {
    let stay = [
        "*2 sc in next st, sc in next* 6 times",
        "Rnd 2: *sc, inc* around. (9)",
        "Rnd 2: *sc, inc* (6 times)",
        "Rnd 2: *sc, inc* x6.",
        "Rnd 2: *sc, inc*, rep from * to end.",
        "*1 dc in next 2 sts**, 1 htr in next st; rep from * to end, ending at **",
        "*sc in next st; rep from * around",
        "Rnd 1: *sc, inc* 3x\nRnd 2: *sc, inc* twice",
    ];
    for text in stay {
        assert_eq!(markdown(text), text);
        assert_eq!(markdown(&text.replace('*', "\\*")), text, "escaped");
    }
    assert_eq!(markdown("* sc in next st; rep from * around"), "* sc in next st; rep from * around");
    assert_eq!(markdown("* wool\n* a hook"), "wool\na hook");
    assert_eq!(markdown("*Rnd 3:* *sc, inc* around"), "Rnd 3: *sc, inc* around");
    assert_eq!(markdown("**Rnd 3:** *sc; rep from * around"), "Rnd 3: *sc; rep from * around");
    assert_eq!(
        markdown("Ch 1 *(counts as a st)*, *sc; rep from * around"),
        "Ch 1 (counts as a st), *sc; rep from * around"
    );
    assert_eq!(markdown("a *very* _wet_ **boot**"), "a very wet boot");
    assert_eq!(markdown("[sc, inc](6)"), "[sc, inc](6)");
    assert_eq!(markdown("[sc](http://marsh.example) ~~x~~ `y` about ~9 cm~"), "sc  y about ~9 cm~");
}

#[test]
fn front_matter_is_passed_over_and_a_rule_is_none() {
    assert_eq!(markdown("---\ntitle: Rnd 1\n---\nRnd 2"), "Rnd 2");
    assert_eq!(markdown("+++\ntitle = 'Rnd 1'\n+++\n\nRnd 2"), "Rnd 2");
    assert_eq!(markdown("---\n\nRnd 1: 6 sc\n\n---\nRnd 2"), "Rnd 1: 6 sc\n\nRnd 2");
    assert_eq!(markdown("Rnd 1\n\n---\ntitle: a\n---\n").lines().next(), Some("Rnd 1"));
    assert_eq!(markdown("<div\nhidden>\n\nRnd 1\n\n</div>\n\nRnd 2<br>Rnd 3"), "Rnd 2\nRnd 3");
}

#[test]
fn files_are_known_by_their_endings() {
    let known = ["cap.html", "CAP.HTM", "cap.md", "a.b/cap.Markdown", "cap.txt", "md", "-"].map(Markup::of_file);
    use Markup::{Html, Markdown, Plain};
    assert_eq!(known, [Html, Html, Markdown, Markdown, Plain, Plain, Plain]);
}

#[test]
fn hostile_markup_is_read_like_any_other() {
    let deep = 100_000;
    let texts = [
        "<div>".repeat(deep),
        "<b>".repeat(deep) + &"</i>".repeat(deep),
        "<b>".repeat(deep) + &"<li></li>".repeat(deep),
        "<ol>".repeat(deep) + "<li>x",
        "<table><tr><td>".repeat(deep),
        "<p hidden>".repeat(deep) + "Rnd 1",
        "&lt".repeat(deep),
        "&#0000".to_owned() + &"0".repeat(deep) + "65;",
        "<sup>1".repeat(deep),
        "<!--".repeat(deep),
        "*a ".repeat(deep) + &"b* 6 times ".repeat(deep),
        "> ".repeat(deep) + "Rnd 1",
        "- ".repeat(1000) + "Rnd 1",
        "[".repeat(deep) + &"](6)".repeat(deep),
        "**a** 6 times ".repeat(deep),
        "<div\n".repeat(deep),
    ];
    for text in texts {
        for markup in [Markup::Html, Markup::Markdown] {
            checked(&text, markup);
        }
    }
}

/// Everything that must hold of any text.
fn checked(original: &str, markup: Markup) {
    let manuscript = Manuscript::read(original, markup);
    let text = manuscript.text();
    let Some(taken) = &manuscript.taken else { return };
    let mut last = 0;
    for (at, _) in text.char_indices().step_by(1 + text.len() / 5000).chain([(text.len(), ' ')]) {
        let (start, end) = (taken.start(at), taken.end(at));
        assert!(original.is_char_boundary(start) && original.is_char_boundary(end), "{at} is {start} and {end}");
        assert!(start >= last && end <= start.max(end), "places go on");
        last = start;
    }
    if text.len() < 5000 {
        let mut answer = verify(&Request::of(text)).unwrap();
        manuscript.restore(&mut answer);
        for finding in &answer.findings {
            let place = finding.place;
            assert!(original.get(place.start as usize..place.end as usize).is_some(), "{place:?}");
            for edit in finding.fixes.iter().flat_map(|fix| &fix.edits) {
                assert!(original.get(edit.start as usize..edit.end as usize).is_some(), "{edit:?}");
            }
        }
    }
}

const SCRAPS: &[&str] = &[
    "<p>",
    "</p>",
    "<b>",
    "</b>",
    "<br>",
    "<li>",
    "<ol>",
    "</ol>",
    "<td>",
    "<tr>",
    "<table>",
    "</table>",
    "<pre>",
    "</pre>",
    "<s>",
    "</s>",
    "<sup>1</sup>",
    "<h2>",
    "</h2>",
    "<div hidden>",
    "</div>",
    "<script>",
    "</script>",
    "<!--",
    "-->",
    "<",
    ">",
    "&",
    "&amp;",
    "&times;",
    "&nbsp;",
    "&#8211",
    "\u{a0}",
    "\u{ad}",
    "é",
    "\0",
    "\r\n",
    "\n",
    "\n\n",
    "    ",
    "\t",
    "* ",
    "*",
    "**",
    "_",
    "~~",
    "`",
    "```\n",
    "> ",
    "- ",
    "1. ",
    "# ",
    "| a | b |\n|---|---|\n| ",
    "[x](6)",
    "\\*",
    "---\n",
    "a: b\n",
    "Rnd 1: 6 sc in ring. (6)",
    "Rnd 2: *2 sc in next st* around. (13)",
    "Rnd 3: sc in next 5 sts. (12)",
    " around",
    "(12)",
];

proptest! {
    #[test]
    fn any_text_is_read_and_every_place_is_in_it(text in "\\PC{0,200}") {
        checked(&text, Markup::Html);
        checked(&text, Markup::Markdown);
    }

    #[test]
    fn damaged_markup_is_read_and_every_place_is_in_it(
        scraps in proptest::collection::vec(proptest::sample::select(SCRAPS), 0..40),
    ) {
        let text = scraps.concat();
        checked(&text, Markup::Html);
        checked(&text, Markup::Markdown);
    }

    #[test]
    fn words_in_a_page_are_found_where_they_stand(
        words in proptest::collection::vec("[a-z]{1,6}", 1..20),
        between in proptest::collection::vec(proptest::sample::select(SCRAPS[..11].to_vec()), 20),
    ) {
        let page: String = words.iter().zip(&between).flat_map(|(word, tag)| [tag, &**word, " "]).collect();
        let manuscript = Manuscript::read(&page, Markup::Html);
        let taken = manuscript.taken.as_ref().unwrap();
        let mut from = 0;
        for word in &words {
            let at = from + manuscript.text()[from..].find(&**word).unwrap();
            from = at + word.len();
            prop_assert_eq!(&page[taken.start(at)..taken.end(from)], word);
        }
    }
}
