//! The cautions themselves.

use super::{Caution, DEFERS, Item, Wearer};

const fn caution(
    about: &'static str,
    to: Wearer,
    pieces: &'static [Item],
    text: &'static str,
    in_short: &'static str,
    source: &'static [&'static str],
) -> Caution {
    Caution { about, text, in_short, source, defers: DEFERS, pieces, to }
}

/// Of which the whole piece is put on or near a child.
const WORN: &[Item] =
    &[Item::Hat, Item::Mitt, Item::Sock, Item::Garment, Item::Nightwear, Item::Cowl, Item::Blanket, Item::Cocoon];

/// The gravest for the youngest first. An empty list of pieces means all.
pub const ALL: &[Caution] = &[
    caution(
        "sleep",
        Wearer::Baby,
        &[Item::Hat, Item::Blanket, Item::Toy, Item::Cocoon, Item::Garment, Item::Cowl, Item::Nightwear],
        "A baby under 12 months sleeps on its back on a firm flat surface, one that inclines over 10 degrees is not, with \
         nothing soft beside it: no blanket, no toy, no pillow. No hat indoors either beyond the first hours of life, so \
         that it does not grow too warm. So a blanket or a toy for a baby is for waking hours with somebody there, and a hat comes \
         off for sleep.",
        "take a hat, blanket or toy away from a baby that sleeps; while it is awake, somebody stays with it.",
        &["American Academy of Pediatrics, policy statement 2022, Pediatrics 150(1) e2022057990", "16 CFR 1236"],
    ),
    caution(
        "sleeping products",
        Wearer::Baby,
        &[Item::Cocoon],
        "In the United States what is sold for babies up to 5 months to sleep in must pass the rules for bassinets since \
         23 June 2022. A cocoon, sack, nest or hammock of crochet does not support a baby and can cover its face: do not let \
         a baby sleep in it, and do not call it a thing to sleep in.",
        "do not let a baby sleep in it; crochet does not support a baby and can cover its face.",
        &["16 CFR 1236", "86 FR 33022"],
    ),
    caution(
        "loose threads",
        Wearer::Baby,
        &[Item::Mitt, Item::Sock, Item::Garment, Item::Nightwear, Item::Blanket, Item::Toy, Item::Cocoon],
        "A hair or a loose thread inside can wind itself round a finger or toe and cut off the blood; fingertips have been \
         lost in mittens. Leave no floats and no long tails inside, weave ends in and trim them, make no tight wrist, and turn \
         the piece inside out to look before each wearing. Wide holes and open lace let fingers and toes through.",
        "leave no floats and no long tails inside, trim every end, make no tight wrist, and look inside before each wearing, for a thread can wind itself round a finger or toe.",
        &[
            "Mann, British Medical Journal 1961",
            "Barton and others, Pediatrics 1988;82:925",
            "Archives of Pediatrics and Adolescent Medicine 2001;155:516",
            "Mat Saad and others, Annals of Plastic Surgery 2006;57:447",
        ],
    ),
    caution(
        "small parts",
        Wearer::Toddler,
        &[],
        "What comes off can be swallowed or breathed in. In the United States toys and articles for children under 36 months \
         may have no part, nor lose one in use, that fits into a cylinder 1.25 in (31.7 mm) across and 1 to 2.25 in \
         (25.4 to 57.1 mm) deep. Yarn, fuzz and string are not counted there, buttons of clothes are exempt, and both still \
         choke: crochet or embroider eyes and trims, and leave off buttons, beads, bells, and pompoms that shed.",
        "leave off buttons, beads, bells and pompoms that shed, and crochet or embroider eyes and trims, for what comes off can be swallowed or breathed in.",
        &["16 CFR 1501.2", "16 CFR 1501.4", "16 CFR 1500.18(a)(9)", "common practice"],
    ),
    caution(
        "toys",
        Wearer::Toddler,
        &[Item::Toy],
        "In Europe and the United Kingdom a soft toy to be cuddled counts as one for under 36 months whatever its label says, \
         also where it is given away, and must fit a child from birth. Eyes that are pushed in and locked from behind hold \
         only as well as the fabric round them: without a test by pulling, leave them off.",
        "embroider the eyes, for those locked from behind hold only as well as the fabric round them.",
        &["EN 71-1, scope", "guidance of the United Kingdom on soft toys made by hand"],
    ),
    caution(
        "cords",
        Wearer::Child,
        &[Item::Hat, Item::Mitt, Item::Garment, Item::Nightwear, Item::Cowl, Item::Toy],
        "Cords at hood and neck catch on slides, cots and doors of buses and strangle. In the United States coats and jackets \
         of sizes 2T to 12 have no drawstring at hood or neck, and those of 2T to 16 at most 3 in of one outside its channel \
         at waist or bottom, without toggles or knots. The European standard allows no cord at hood or neck up to \
         7 years or 134 cm. Hats, mittens and scarves are outside both rules, not outside the danger: for bonnet ties, braids \
         of ear flaps, strings between mittens and long loops choose short, flat or none.",
        "no long ties, cords or loops, for they catch and strangle; make them short, flat, or leave them off.",
        &["16 CFR 1120", "ASTM F1816", "EN 14682"],
    ),
    caution(
        "fire",
        Wearer::Child,
        &[Item::Nightwear],
        "In the United States what children sleep in must pass a test by fire: that of 16 CFR 1615 \
         for sizes 0 to 6X, of 16 CFR 1616 for 7 to 14. Exempt are tight-fitting garments of set measures, and those of infants, sized 9 months or less, \
         in one piece up to 64.8 cm long or in two of up to 40 cm each. Open, lofty crochet is the bad case: do \
         not call it nightwear.",
        "not to be called nightwear, for open crochet is the bad case by fire.",
        &["16 CFR 1615", "16 CFR 1616", "16 CFR 1615.1(c)"],
    ),
    caution(
        "metal and paint",
        Wearer::Child,
        &[],
        "Accessible parts of what is made for children of 12 and under may hold 100 ppm of lead in the United States. Snaps, \
         zips, bells, charms and painted buttons are where it comes from; whoever sells needs a certificate and a label too.",
        "snaps, zips, bells, charms and painted buttons can hold lead; leave them off, or take what is sold for children's things.",
        &["15 USC 1278a", "U.S. Consumer Product Safety Commission"],
    ),
    caution(
        "wool on the skin",
        Wearer::Child,
        WORN,
        "Wool fibres of 30-32 micrometres and over prickle; there is no sign that wool itself causes an allergy, and fine \
         merino was borne well. Ask before you give wool, and keep yarn that sheds, such as mohair, angora or eyelash, away \
         from a baby's face.",
        "ask before you give wool, and keep yarn that sheds away from a baby's face.",
        &["Zallmann and others, Acta Dermato-Venereologica 2017;97:906", "common practice"],
    ),
    caution(
        "heat",
        Wearer::Adult,
        &[Item::PotHolder],
        "Acrylic and nylon melt on a hot pan and onto a hand. Use cotton or wool, work it thick and without holes, and say \
         in the pattern which.",
        "use cotton or wool, worked thick and without holes, for acrylic and nylon melt on a hot pan.",
        &["common practice"],
    ),
];
