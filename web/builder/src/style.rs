//! The style made short for the page: no comments, and blanks only where they mean something.

/// A style sheet without comments, line ends, indentation, and blanks beside the marks that need none.
///
/// Texts in quotes stay as they are. A blank before a colon or a bracket stays too, since it tells a descendant
/// (`a :hover`) or belongs to `and (`, and those round `+` and `-` in reckonings.
pub(crate) fn shortened(style: &str) -> String {
    let mut short = String::with_capacity(style.len());
    let mut rest = style;
    while let Some(letter) = rest.chars().next() {
        let length = match letter {
            '"' | '\'' => quoted(rest, letter),
            '/' if rest.starts_with("/*") => {
                blank(&mut short);
                rest = rest.split_once("*/").map_or("", |(_, after)| after);
                continue;
            }
            _ => letter.len_utf8(),
        };
        let (piece, after) = rest.split_at(length);
        rest = after;
        match letter {
            _ if letter.is_ascii_whitespace() => blank(&mut short),
            '{' | '}' | ';' | ',' | '>' => {
                if short.ends_with(' ') {
                    short.pop();
                }
                // the last declaration needs no end
                if letter == '}' && short.ends_with(';') {
                    short.pop();
                }
                short.push(letter);
            }
            _ => short.push_str(piece),
        }
    }
    short.truncate(short.trim_end().len());
    short
}

/// A blank, where one may mean something after what is there.
fn blank(short: &mut String) {
    if !short.is_empty() && !short.ends_with([' ', '{', '}', ';', ',', '>', ':']) {
        short.push(' ');
    }
}

/// How long the text in quotes is with which `rest` begins.
fn quoted(rest: &str, quote: char) -> usize {
    let mut escaped = false;
    for (place, letter) in rest.char_indices().skip(1) {
        if letter == quote && !escaped {
            return place + 1;
        }
        escaped = letter == '\\' && !escaped;
    }
    rest.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blanks_stay_only_where_they_mean_something() {
        let style = "/* Tokens\n first */\n:root[data-theme=\"dark\"] {\n  --serif: \"A  B\", 'c\\' ; d';\n  color : red;\n}\n\n\
                     p > a :hover, p a { width: calc(1px + (2 * var(--x)) - 3px); }\n@media (min-width: 4px) and \
                     (max-width: 5px) {\n  .a .b::after { content: \" /* \\2193\"; }\n}\n";
        assert_eq!(
            shortened(style),
            ":root[data-theme=\"dark\"]{--serif:\"A  B\",'c\\' ; d';color :red}\
             p>a :hover,p a{width:calc(1px + (2 * var(--x)) - 3px)}@media (min-width:4px) and (max-width:5px)\
             {.a .b::after{content:\" /* \\2193\"}}"
        );
    }

    #[test]
    fn what_has_no_end_does_not_hang() {
        assert_eq!(shortened("a { content: \"x"), "a{content:\"x");
        assert_eq!(shortened("a /* b"), "a");
        assert_eq!(shortened(""), "");
    }
}
