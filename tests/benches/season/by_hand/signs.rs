//! The signs of the standard rulebook's findings, written out by hand. Left out are those that need the record before
//! (`string-risen`), a table by kind and string, or the moisture of wood.

use purfle_lang::saying::parse_day;

use super::sheet::{Crack, Said, Sheet, Strings};
use super::three::{Set, Span, Three};

/// What came out for each finding: how often it was found, and how often it stayed open.
pub type Tally = [(u8, u8); NAMES.len()];

macro_rules! findings {
    ($($at:ident $name:literal)*) => {
        #[derive(Debug, Clone, Copy)]
        enum F { $($at),* }

        /// The names of the findings that are written out here.
        pub const NAMES: &[&str] = &[$($name),*];
    };
}

findings! {
    ButtonUnseated "button-unseated" ButtonTurns "button-turns"
    SocketLoose "endpin-socket-loose" PinSlips "endpin-slips" PinBent "endpin-bent" TipGone "endpin-tip-gone"
    BlockCracked "block-cracked" BlockTorn "block-torn" SaddleLoose "saddle-loose"
    GutFrayed "tailgut-frayed" GutBroken "tailgut-broken"
    TailpieceCracked "tailpiece-cracked" TailpieceAstray "tailpiece-astray"
    TunerStiff "tuner-stiff" TunerBottomed "tuner-bottomed" TunerScratching "tuner-scratching" TunerBroken "tuner-broken"
    PostFallen "post-fallen" PostMissing "post-missing" PostLeaning "post-leaning" PostAstray "post-astray" PostTight "post-tight"
    BarFailing "bar-failing" TopSunk "top-sunk"
    BridgeFallen "bridge-fallen" BridgeLeaning "bridge-leaning" BridgeFalling "bridge-falling" BridgeWarped "bridge-warped"
    BridgeUncut "bridge-uncut" BridgeBroken "bridge-broken"
    FeetGapped "bridge-feet-gapped" GroovesDeep "bridge-grooves-deep" BridgeShifted "bridge-shifted"
    BridgeLow "bridge-low" BassBridgeLow "bass-bridge-low"
    StringSplitting "string-splitting" StringBroken "string-broken" StringsOld "strings-old" StringsDull "strings-dull"
    StringsRough "strings-rough"
    NutLow "nut-low" NutHigh "nut-high" NutLoose "nut-loose"
    PegSlips "peg-slips" PegsWorn "pegs-worn" PegStuck "peg-stuck" PegBroken "peg-broken" PegSunk "peg-sunk-in" PegProud "peg-proud"
    MachineStiff "machine-stiff" MachineWorn "machine-worn" MachineBent "machine-bent"
    ScrollBroken "scroll-broken" ScrollChipped "scroll-chipped"
    BoardLifting "board-lifting" BoardGone "board-gone" BoardGrooved "board-grooved" BoardUneven "board-uneven"
    NeckHairline "neck-hairline" NeckOpen "neck-open" HeelButton "heel-button-cracked"
    SeamSprung "seam-sprung" SeamParted "seam-parted" SeamAtBlock "seam-at-block" SeamAtNeck "seam-at-neck"
    CentreLine "centre-line" CentreParted "centre-parted"
    CrackBackPost "crack-back-post" CrackTopPost "crack-top-post" CrackNeckRoot "crack-neck-root" CrackBarLine "crack-bar-line"
    CrackPegbox "crack-pegbox" CrackTopLong "crack-top-long" CrackSaddle "crack-saddle" CrackWing "crack-wing"
    CrackEdge "crack-edge" CrackRib "crack-rib" CrackVarnish "crack-varnish"
    RibDented "rib-dented" RibBulging "rib-bulging" EdgeWorn "edge-worn" EdgeChipped "edge-chipped"
    RosinDusty "rosin-dusty" RosinCaked "rosin-caked" VarnishBare "varnish-bare" VarnishPrinted "varnish-printed"
    BodyBuzz "body-buzz" BodyLoose "body-loose" HomeRepair "home-repair"
    ChinrestLoose "chinrest-loose" ChinrestBiting "chinrest-biting" RestScratching "rest-scratching"
    HairThin "bow-hair-thin" HairGone "bow-hair-gone" BowEaten "bow-eaten" ScrewHard "bow-screw-hard"
    NotTightening "bow-not-tightening" BowFlat "bow-flat" BowBent "bow-bent" PlateCracked "bow-plate-cracked"
    HeadCracked "bow-head-cracked" HeadBroken "bow-head-broken" GripWorn "bow-grip-worn"
    CaseShuts "case-shuts-badly" CasePresses "case-presses" CaseLoose "case-loose-things" CaseInsects "case-insects"
    RoomUnwatched "room-unwatched" RoomHeat "room-heat" Knocked "knocked" Overheated "overheated"
}

const YES_NO: &[&str] = &["no", "yes"];
const YES: u16 = 0b10;
const NO: u16 = 0b01;

const VIOLIN: u16 = 1;
const VIOLA: u16 = 2;
const CELLO: u16 = 4;
const BASS: u16 = 8;

/// The instruments that have a C, G, D, A and E string.
const STRINGS: [u16; 5] = [VIOLA | CELLO, 15, 15, 15, VIOLIN | BASS];

/// The instruments that have those pegs.
const PEGS: [u16; 5] = [VIOLA | CELLO, 7, 7, 7, VIOLIN];

/// Judges one record.
pub fn judge(sheet: &Sheet) -> Tally {
    let mut tally: Tally = [(0, 0); NAMES.len()];
    let mut note = |finding: F, three: Three| {
        let (found, open) = &mut tally[finding as usize];
        *found += u8::from(three.surely);
        *open += u8::from(three.possibly && !three.surely);
    };
    let kind = kind(sheet);
    let of = |kinds: u16| Three { surely: kind & !kinds == 0, possibly: kind & kinds != 0 };

    macro_rules! simple {
        ($said:expr, $applies:expr, $($look:ident [$($choice:literal)*] $good:literal { $($finding:ident $wanted:literal)* })*) => {{
            let (looks, ticked) = $said.looks();
            $(
                let set = Set::of(looks.and_then(|looks| looks.$look), &[$($choice),*], ticked.then_some($good));
                $(note(F::$finding, set.is($wanted, $applies));)*
            )*
        }};
    }

    let (button, ticked) = sheet.button.looks();
    let gap = Span::of(button.and_then(|b| b.gap), 20, (0, 800), ticked.then_some((0, 0))).above(20, of(3));
    let sits =
        Set::of(button.and_then(|b| b.sits), &["straight", "crooked", "pulling-out"], ticked.then_some(1)).is(0b110, of(3));
    note(F::ButtonUnseated, gap.or(sits));
    simple!(sheet.button, of(3), turns ["no" "yes"] 1 { ButtonTurns 2 });
    simple!(sheet.endpin, of(12),
        socket ["straight" "crooked" "pulling-out"] 1 { SocketLoose 0b110 }
        slips ["no" "yes"] 1 { PinSlips 2 }
        rod ["straight" "bent"] 1 { PinBent 2 }
        tip ["sound" "blunt" "missing"] 1 { TipGone 0b110 });
    simple!(sheet.block, Three::YES, state ["sound" "cracked" "torn"] 1 { BlockCracked 2 BlockTorn 4 });
    simple!(sheet.saddle, Three::YES, state ["firm" "lifting" "missing"] 1 { SaddleLoose 0b110 });
    simple!(sheet.tailgut, Three::YES, state ["sound" "frayed" "broken"] 1 { GutFrayed 2 GutBroken 4 });
    simple!(sheet.tailpiece, Three::YES,
        state ["sound" "cracked"] 1 { TailpieceCracked 2 }
        sits ["at-saddle" "on-top" "too-far"] 1 { TailpieceAstray 0b110 });
    simple!(sheet.tuner, Three::YES,
        turns ["freely" "stiff" "bottomed" "broken"] 1 { TunerStiff 2 TunerBottomed 4 TunerBroken 8 }
        tip ["clear" "close" "touching"] 1 { TunerScratching 0b110 });

    let (post, ticked) = sheet.post.looks();
    let spot = Set::of(post.and_then(|p| p.spot), &["behind-foot", "astray"], ticked.then_some(1));
    let mut stands = Set::of(post.and_then(|p| p.stands), &["upright", "leaning", "fallen", "missing"], ticked.then_some(1));
    if spot.told {
        stands.can &= 0b0011;
    }
    note(F::PostFallen, stands.is(0b0100, Three::YES));
    note(F::PostMissing, stands.is(0b1000, Three::YES));
    note(F::PostLeaning, stands.is(0b0010, Three::YES));
    note(F::PostAstray, spot.is(2, stands.is(0b0011, Three::YES)));
    simple!(sheet.post, Three::YES, bump ["no" "yes"] 1 { PostTight 2 });
    simple!(sheet.top, Three::YES, shape ["level" "sunk-bass" "sunk-treble"] 1 { BarFailing 2 TopSunk 4 });

    let (bridge, ticked) = sheet.bridge.looks();
    let good = |bits: u16| ticked.then_some(bits);
    let lean = Span::of(bridge.and_then(|b| b.lean), 200, (-3000, 3000), ticked.then_some((-200, 200)));
    let feet = Set::of(bridge.and_then(|b| b.feet), &["flat", "gapped"], good(1));
    let place = Set::of(bridge.and_then(|b| b.spot), &["between-notches", "shifted"], good(1));
    let clears = Set::of(bridge.and_then(|b| b.clears), &["well", "drag"], good(1));
    let mut stands = Set::of(bridge.and_then(|b| b.stands), &["standing", "fallen"], good(1));
    if lean.told || feet.told || place.told || clears.told {
        stands.can &= 1;
    }
    let standing = stands.is(1, Three::YES);
    note(F::BridgeFallen, stands.is(2, Three::YES));
    note(F::BridgeLeaning, lean.above(400, standing).or(lean.below(-600, standing)));
    note(F::BridgeFalling, lean.above(1500, standing));
    note(F::FeetGapped, feet.is(2, standing));
    note(F::BridgeShifted, place.is(2, standing));
    let drag = clears.is(2, standing);
    note(F::BridgeLow, drag.and(of(BASS).opposite()));
    note(F::BassBridgeLow, drag.and(of(BASS)));
    simple!(sheet.bridge, Three::YES,
        shape ["straight" "curled" "twisted" "uncut" "broken"] 1 { BridgeWarped 0b00110 BridgeUncut 0b01000 BridgeBroken 0b10000 }
        grooves ["half" "deep"] 1 { GroovesDeep 2 });

    for (string, kinds) in places(&sheet.string).into_iter().zip(STRINGS) {
        let (looks, ticked) = string.looks();
        let mut winding = Set::of(looks.and_then(|s| s.winding), &["sound", "split", "broken"], ticked.then_some(1));
        let height = looks.and_then(|s| s.height).is_some_and(|height| height.0.is_some());
        let applies = if height { Three::YES } else { of(kinds) };
        if height {
            winding.can &= 0b011;
        }
        note(F::StringSplitting, winding.is(2, applies));
        note(F::StringBroken, winding.is(4, applies));
    }

    let (set, ticked) = sheet.stringset.looks();
    let sound = Set::of(set.and_then(|s| s.sound), &["bright", "dull", "rough"], ticked.then_some(1));
    let dull = sound.is(2, Three::YES);
    note(F::StringsRough, sound.is(4, Three::YES));
    let old = dull.and(aged(set.and_then(|s| s.fitted), sheet.inspected_on));
    note(F::StringsOld, old);
    // Dull before their time: where the sound alone is open, both stay open or clear together.
    note(F::StringsDull, dull.and(aged(set.and_then(|s| s.fitted), sheet.inspected_on).opposite()));
    simple!(sheet.nut, Three::YES,
        clearance ["right" "touching" "high"] 1 { NutLow 2 NutHigh 4 }
        sits ["firm" "loose"] 1 { NutLoose 2 });

    // Which pegs there are hangs on the instrument, so they are counted for each that it can still be.
    let mut slipping = [(0, 0); 4];
    for (peg, kinds) in places(&sheet.peg).into_iter().zip(PEGS) {
        let (looks, ticked) = peg.looks();
        let stands = Set::of(looks.and_then(|p| p.stands), &["even", "far-in", "proud"], ticked.then_some(1));
        let turns = Set::of(looks.and_then(|p| p.turns), &["smoothly", "slips", "stuck", "broken"], ticked.then_some(1));
        let applies = of(kinds);
        let slips = turns.is(2, Three::YES);
        for (_, (surely, possibly)) in slipping.iter_mut().enumerate().filter(|(at, _)| kinds >> at & 1 == 1) {
            *surely += usize::from(slips.surely);
            *possibly += usize::from(slips.possibly);
        }
        let slips = turns.is(2, applies);
        note(F::PegSlips, slips);
        note(F::PegStuck, turns.is(4, applies));
        note(F::PegBroken, turns.is(8, applies));
        note(F::PegSunk, stands.is(2, applies));
        note(F::PegProud, stands.is(4, applies));
    }
    let can_be = || slipping.iter().enumerate().filter(|(at, _)| kind >> at & 1 == 1);
    note(
        F::PegsWorn,
        Three { surely: can_be().all(|(_, (surely, _))| *surely >= 3), possibly: can_be().any(|(_, (_, can))| *can >= 3) },
    );
    for machine in &places(&sheet.machine)[1..] {
        simple!(machine, of(BASS),
            turns ["smoothly" "stiff" "jumps"] 1 { MachineStiff 2 MachineWorn 4 }
            key ["straight" "bent"] 1 { MachineBent 2 });
    }
    simple!(sheet.scroll, Three::YES, state ["sound" "chipped" "broken"] 1 { ScrollChipped 2 ScrollBroken 4 });
    simple!(sheet.board, Three::YES,
        joint ["firm" "lifting" "off"] 1 { BoardLifting 2 BoardGone 4 }
        surface ["smooth" "grooved" "uneven"] 1 { BoardGrooved 2 BoardUneven 4 });

    let (heel, ticked) = sheet.heel.looks();
    let joint = Set::of(heel.and_then(|h| h.joint), &["closed", "hairline", "gaping"], ticked.then_some(1));
    let moves = Set::of(heel.and_then(|h| h.moves), YES_NO, ticked.then_some(NO));
    note(F::NeckHairline, joint.is(2, Three::YES));
    note(F::NeckOpen, joint.is(4, Three::YES).or(moves.is(YES, Three::YES)));
    simple!(sheet.heel, Three::YES, back ["sound" "cracked" "stepped"] 1 { HeelButton 0b110 });

    let (seams, ticked) = sheet.seam.looks();
    let all = if ticked { Said::Good } else { Said::Nothing };
    let seams = seams.map_or([all; 8], |s| {
        [s.lower_treble, s.waist_treble, s.upper_treble, s.upper_bass, s.waist_bass, s.lower_bass, s.lower_block, s.neck_block]
    });
    for (at, seam) in seams.iter().enumerate() {
        let (looks, ticked) = seam.looks();
        let mut state = Set::of(looks.and_then(|s| s.state), &["shut", "sprung", "parted"], ticked.then_some(1));
        if looks.and_then(|s| s.length).is_some_and(|length| length.0.is_some()) {
            state.can &= 0b110;
        }
        if at < 6 {
            note(F::SeamSprung, state.is(2, Three::YES));
            note(F::SeamParted, state.is(4, Three::YES));
        } else {
            note(if at == 6 { F::SeamAtBlock } else { F::SeamAtNeck }, state.is(0b110, Three::YES));
        }
    }
    let (centres, ticked) = sheet.centre.looks();
    let all = if ticked { Said::Good } else { Said::Nothing };
    for centre in centres.map_or([all; 2], |c| [c.top, c.back]) {
        simple!(centre, Three::YES, state ["shut" "line" "parted"] 1 { CentreLine 2 CentreParted 4 });
    }

    let unnamed = [Crack::default()];
    let (cracks, there): (&[Crack], Three) = match &sheet.crack {
        Said::Looks(cracks) => (cracks, Three::YES),
        Said::None => (&[], Three::NO),
        Said::Nothing | Said::Good => (&unnamed, Three { surely: false, possibly: true }),
    };
    for crack in cracks {
        let place = Set::of(
            crack.place,
            &[
                "back-post",
                "top-post",
                "neck-root",
                "bar-line",
                "peg-hole",
                "pegbox-cheek",
                "top-middle",
                "saddle-end",
                "f-wing",
                "bout-edge",
                "rib-side",
                "varnish-only",
            ],
            None,
        );
        for (finding, wanted) in [
            (F::CrackBackPost, 1),
            (F::CrackTopPost, 2),
            (F::CrackNeckRoot, 4),
            (F::CrackBarLine, 8),
            (F::CrackPegbox, 0x30),
            (F::CrackTopLong, 0x40),
            (F::CrackSaddle, 0x80),
            (F::CrackWing, 0x100),
            (F::CrackEdge, 0x200),
            (F::CrackRib, 0x400),
            (F::CrackVarnish, 0x800),
        ] {
            note(finding, place.is(wanted, there));
        }
    }
    simple!(sheet.rib, Three::YES, state ["sound" "dented" "bulging"] 1 { RibDented 2 RibBulging 4 });
    simple!(sheet.edge, Three::YES, state ["sound" "worn" "chipped"] 1 { EdgeWorn 2 EdgeChipped 4 });
    simple!(sheet.varnish, Three::YES,
        rosin ["clean" "dusty" "caked"] 1 { RosinDusty 2 RosinCaked 4 }
        surface ["sound" "bare" "printed"] 1 { VarnishBare 2 VarnishPrinted 4 });
    simple!(sheet.body, Three::YES,
        buzz ["no" "yes"] 1 { BodyBuzz 2 }
        loose ["no" "yes"] 1 { BodyLoose 2 }
        tried ["nothing" "tape" "glue"] 1 { HomeRepair 0b110 });
    simple!(sheet.chinrest, of(3),
        holds ["firm" "loose"] 1 { ChinrestLoose 2 }
        clamp ["edge-only" "body"] 1 { ChinrestBiting 2 });
    simple!(sheet.shoulder_rest, of(3), feet ["sound" "bare" "close"] 1 { RestScratching 0b110 });
    simple!(sheet.bow, Three::YES,
        hair ["full" "thin" "gone"] 1 { HairThin 2 HairGone 4 }
        eaten ["no" "yes"] 1 { BowEaten 2 }
        screw ["freely" "hard" "idle"] 1 { ScrewHard 2 NotTightening 4 }
        camber ["curved" "flat" "crooked"] 1 { BowFlat 2 BowBent 4 }
        head ["sound" "plate-cracked" "cracked" "broken"] 1 { PlateCracked 2 HeadCracked 4 HeadBroken 8 }
        grip ["sound" "worn"] 1 { GripWorn 2 });
    simple!(sheet.case, Three::YES,
        shuts ["well" "badly"] 1 { CaseShuts 2 }
        presses ["no" "yes"] 1 { CasePresses 2 }
        loose ["no" "yes"] 1 { CaseLoose 2 }
        insects ["no" "yes"] 1 { CaseInsects 2 });

    let mut hygrometer = Set::of(sheet.room.hygrometer, YES_NO, None);
    if sheet.room.humidity.is_some_and(|humidity| humidity.0.is_some()) {
        hygrometer.can &= YES;
    }
    note(F::RoomUnwatched, hygrometer.is(NO, Three::YES));
    note(F::RoomHeat, Set::of(sheet.room.heat, YES_NO, None).is(YES, Three::YES));
    note(F::Knocked, Set::of(sheet.instrument.dropped, YES_NO, None).is(YES, Three::YES));
    note(F::Overheated, Set::of(sheet.instrument.heated, YES_NO, None).is(YES, Three::YES));
    tally
}

/// The kinds of instrument that a record leaves: what somebody saw of a part says that there is one.
fn kind(sheet: &Sheet) -> u16 {
    let told = |word: Option<&str>| word.is_some_and(|word| word != "?");
    let mut kind = Set::of(sheet.instrument.kind, &["violin", "viola", "cello", "bass"], None).can;
    let mut narrow = |seen: bool, kinds: u16| {
        if seen {
            kind &= kinds;
        }
    };
    let gap = |b: &super::sheet::Button| b.gap.is_some_and(|gap| gap.0.is_some());
    narrow(sheet.button.looks().0.is_some_and(|b| told(b.sits) || told(b.turns) || gap(b)), VIOLIN | VIOLA);
    narrow(sheet.endpin.looks().0.is_some_and(|e| told(e.socket) || told(e.slips) || told(e.rod) || told(e.tip)), CELLO | BASS);
    narrow(sheet.chinrest.looks().0.is_some_and(|c| told(c.holds) || told(c.clamp)), VIOLIN | VIOLA);
    narrow(sheet.shoulder_rest.looks().0.is_some_and(|r| told(r.feet)), VIOLIN | VIOLA);
    let projection = |h: &super::sheet::Heel| h.projection.is_some_and(|at| at.0.is_some());
    narrow(sheet.heel.looks().0.is_some_and(projection), VIOLIN | VIOLA | CELLO);
    for (peg, kinds) in places(&sheet.peg).iter().zip(PEGS) {
        narrow(peg.looks().0.is_some_and(|p| told(p.turns) || told(p.stands)), kinds);
    }
    for machine in places(&sheet.machine) {
        narrow(machine.looks().0.is_some_and(|m| told(m.turns) || told(m.key)), BASS);
    }
    for (string, kinds) in places(&sheet.string).iter().zip(STRINGS) {
        let height = |s: &super::sheet::OneString| s.height.is_some_and(|height| height.0.is_some());
        narrow(string.looks().0.is_some_and(|s| told(s.winding) || height(s)), kinds);
    }
    kind
}

/// The places of a part; a tick on the whole part is one on each of them.
fn places<T: Copy>(part: &Said<Strings<T>>) -> [Said<T>; 5] {
    match part {
        Said::Looks(places) => places.all(),
        Said::Good => [Said::Good; 5],
        Said::Nothing | Said::None => [Said::Nothing; 5],
    }
}

/// Whether strings are more than a year old: nobody knows where no date was written, and `none` is no age at all.
fn aged(fitted: Option<&str>, inspected_on: Option<&str>) -> Three {
    match (fitted, inspected_on.and_then(|day| parse_day(day).ok())) {
        (Some("none"), _) => Three::NO,
        (Some(day), Some(today)) if day != "?" => match parse_day(day) {
            Ok(day) if today - day > 365 => Three::YES,
            _ => Three::NO,
        },
        _ => Three { surely: false, possibly: true },
    }
}
