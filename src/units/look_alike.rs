//! Names that look like another: characters that show nothing, and letters of other scripts that look like Latin ones.

use unicode_normalization::UnicodeNormalization;
use unicode_security::skeleton;

/// Whether a character is no character at all (Unicode Standard, section 23.7), or one that only a program gives a meaning
/// (private use, section 23.5).
pub(super) const fn no_character(c: char) -> bool {
    let code = c as u32;
    matches!(c, '\u{fdd0}'..='\u{fdef}' | '\u{e000}'..='\u{f8ff}')
        || code & 0xfffe == 0xfffe
        || code >= 0xf_0000
}

/// Whether a character shows nothing by itself: the default ignorable code points (Unicode Character Database,
/// DerivedCoreProperties.txt), the line and paragraph separators, and the format characters of scripts.
const fn shows_nothing(c: char) -> bool {
    matches!(c, '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}'..='\u{1160}' | '\u{17b4}'..='\u{17b5}'
        | '\u{180b}'..='\u{180f}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
        | '\u{3164}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{ffa0}' | '\u{fff0}'..='\u{fffb}'
        | '\u{1bca0}'..='\u{1bca3}' | '\u{1d173}'..='\u{1d17a}' | '\u{e0000}'..='\u{e0fff}'
        | '\u{600}'..='\u{605}' | '\u{6dd}' | '\u{70f}' | '\u{890}'..='\u{891}' | '\u{8e2}'
        | '\u{110bd}' | '\u{110cd}' | '\u{13430}'..='\u{1343f}')
}

/// Whether letters of the script of a character are joined or kept apart by marks that show nothing themselves: Arabic and
/// its neighbours, the scripts of India, Khmer, Mongolian (Unicode Standard Annex 31, section 2.3).
const fn joins(c: char) -> bool {
    matches!(c, '\u{620}'..='\u{dff}' | '\u{1780}'..='\u{18af}' | '\u{a800}'..='\u{abff}')
}

/// Whether a name holds a character that cannot be seen in it, so that it looks like another. The joiner and the non-joiner
/// are let be after a letter of a script that needs them.
pub(super) fn hides_something(name: &str) -> bool {
    let mut before = ' ';
    name.chars().any(|c| {
        let needed = matches!(c, '\u{200c}' | '\u{200d}') && joins(before);
        before = c;
        (shows_nothing(c) && !needed) || no_character(c)
    })
}

/// What a name looks like, in two forms: as it is read, and with nearly equal letters and digits made the same.
/// Of two names that share either, one is taken for the other (after Unicode Technical Standard 39, section 4; case and
/// compatibility forms are left aside, Unicode Standard Annex 15). What letters look like is that standard's table of confusables,
/// as the crate `unicode-security` brings it.
pub fn look_alike_forms(name: &str) -> [String; 2] {
    let mut shown = String::new();
    for c in name.nfkc().filter(|c| !shows_nothing(*c)) {
        // Latin letters stay as they are: by the table m is like rn, and Barnes is not Bames.
        if c.is_ascii() {
            shown.push(c);
        } else {
            shown.extend(skeleton(c.encode_utf8(&mut [0; 4])));
        }
    }
    let words: Vec<&str> = shown.split_whitespace().collect();
    let shown = words.join(" ");
    let hair = shown.chars().map(|c| match c {
        'I' | '1' | '|' => 'l',
        '0' => 'o',
        other => other,
    });
    [
        hair.collect::<String>().to_lowercase(),
        shown.to_lowercase(),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn alike(a: &str, b: &str) -> bool {
        let (a, b) = (look_alike_forms(a), look_alike_forms(b));
        a[0] == b[0] || a[1] == b[1]
    }

    #[test]
    fn letters_of_other_scripts_and_forms_are_taken_for_what_they_look_like() {
        for other in [
            "june  HOLLOWELL",
            "Jun\u{435} Hollowell",
            "June Hollow\u{ff45}ll",
            "June H\u{3bf}llowell",
            "June HolloweIl",
            "June Ho\u{4cf}lowell",
            "J\u{57d}ne Hollowell",
            // Coptic, Lisu and Cherokee.
            "June H\u{2c9f}llowell",
            "June \u{a4e7}ollowell",
            "\u{13ab}une Hollowell",
        ] {
            assert!(alike(other, "June Hollowell"), "{other}");
        }
        for other in [
            "Jane Hollowell",
            "June Hallowell",
            "Jun\u{e9} Hollowell",
            "June Hollovvell",
        ] {
            assert!(!alike(other, "June Hollowell"), "{other}");
        }
        assert!(alike("BILL REED", "Bill Reed") && alike("Bi1l Reed", "Bill Reed"));
    }

    #[test]
    fn what_cannot_be_seen_is_found_and_what_a_script_needs_is_let_be() {
        for hiding in [
            "June Holl\u{ad}owell",
            "June\u{200d} Hollowell",
            "June Hollowell\u{fe0f}",
            "Ann\u{2028}B",
            "Ann\u{e0041}",
            "Ann\u{fdd0}",
            "Ann\u{1ffff}",
            "Ann\u{e000}",
        ] {
            assert!(hides_something(hiding), "{hiding:?}");
        }
        // Persian "miravam" with its non-joiner, a Sinhala conjunct with its joiner, and plain names.
        for plain in [
            "\u{645}\u{6cc}\u{200c}\u{631}\u{648}\u{645}",
            "\u{dc1}\u{dca}\u{200d}\u{dbb}\u{dd3}",
            "Tom\u{e1}s Reyes",
            "\u{d5}\u{4e09} O’Hara-Łuk",
        ] {
            assert!(!hides_something(plain), "{plain:?}");
        }
    }
}
