//! Decimal and thousands marks in the cells of a file: 1.250 is 1250 where commas part the decimals, and 1.25 where points do.

/// How a figure is marked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Form {
    /// 1474, or with an exponent.
    Plain,
    /// 1474.2 or 0,850: this mark can only be the decimal one.
    Decimals(char),
    /// 1.250 or 1,250: three digits behind one mark, which may be either.
    Either(char),
    /// 1.474,2 or 1 250: marks between the thousands; the decimal mark where there is one.
    Thousands(Option<char>),
}

/// What is wrong with the marks of a figure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Unclear {
    /// Marks stand between the thousands: the figure without them.
    Thousands(String),
    /// May be a whole number, or have decimals.
    Either {
        /// With the mark taken as one of thousands.
        whole: String,
        /// With the mark taken as the decimal one, as the file writes decimals.
        decimals: String,
    },
}

/// Which marks surely part decimals somewhere.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Marks {
    point: bool,
    comma: bool,
}

impl Marks {
    /// The marks of these cells.
    pub fn of<'a>(cells: impl Iterator<Item = &'a str>) -> Self {
        let mut marks = Self::default();
        for cell in cells {
            match form(cell) {
                Some(Form::Decimals('.') | Form::Thousands(Some('.'))) => marks.point = true,
                Some(Form::Decimals(',') | Form::Thousands(Some(','))) => marks.comma = true,
                _ => {}
            }
        }
        marks
    }

    /// Where commas part the cells, points part the decimals.
    pub fn of_points() -> Self {
        Self { point: true, comma: false }
    }

    /// The one mark that surely parts decimals; None where both do, or none.
    const fn only(self) -> Option<char> {
        match (self.point, self.comma) {
            (true, false) => Some('.'),
            (false, true) => Some(','),
            _ => None,
        }
    }

    const fn is_mixed(self) -> bool {
        self.point && self.comma
    }
}

/// Is it a figure, whatever its marks mean?
pub(super) fn is_figure(cell: &str) -> bool {
    form(cell).is_some()
}

/// The figure with a decimal point, as its column and then the whole file mark decimals; anything else as it stands.
///
/// # Errors
/// [`Unclear`] where the marks can be understood in two ways, or stand between thousands.
pub(super) fn pointed(cell: &str, column: Marks, file: Marks) -> Result<String, Unclear> {
    match form(cell) {
        None | Some(Form::Plain) => Ok(cell.to_owned()),
        Some(Form::Decimals(_)) => Ok(cell.replacen(',', ".", 1)),
        Some(Form::Thousands(decimal)) => Err(Unclear::Thousands(without_thousands(cell, decimal))),
        Some(Form::Either(mark)) => {
            let of_others = column.only().or_else(|| file.only());
            let mixed = column.is_mixed() || column.only().is_none() && file.is_mixed();
            if !mixed && of_others.is_none_or(|others| others == mark) {
                return Ok(cell.replacen(',', ".", 1));
            }
            let decimals = match of_others.filter(|_| !mixed) {
                Some(decimal) => cell.replacen(mark, &decimal.to_string(), 1),
                // A fourth digit is behind no mark of thousands.
                None => format!("{cell}0"),
            };
            Err(Unclear::Either { whole: without_thousands(cell, None), decimals })
        }
    }
}

/// The figure with no mark but that of its decimals.
fn without_thousands(cell: &str, decimal: Option<char>) -> String {
    cell.chars().filter(|c| Some(*c) == decimal || !is_mark(*c)).collect()
}

/// A mark between digits: point, comma, spaces of any width, apostrophes.
const fn is_mark(c: char) -> bool {
    matches!(c, '.' | ',' | ' ' | '\u{a0}' | '\u{2009}' | '\u{202f}' | '\'' | '\u{2019}')
}

/// None: no figure.
fn form(cell: &str) -> Option<Form> {
    let digits = cell.trim_start_matches(['-', '+', '\u{2212}']);
    let marks: Vec<char> = digits.chars().filter(|c| is_mark(*c)).collect();
    let groups: Vec<&str> = digits.split(is_mark).collect();
    let all_digits = groups.iter().all(|g| !g.is_empty() && g.bytes().all(|b| b.is_ascii_digit()));
    let Some(last) = marks.last().filter(|_| all_digits) else {
        // Exponents, and a mark with nothing before or behind it.
        let is_number = cell.replacen(',', ".", 1).parse::<f64>().is_ok();
        return is_number.then_some(if cell.contains(',') { Form::Decimals(',') } else { Form::Plain });
    };
    let is_decimal = matches!(last, '.' | ',');
    let three = |group: &&str| group.len() == 3;
    let starts_thousands = groups[0].len() <= 3 && !groups[0].starts_with('0');
    match (marks.as_slice(), groups.as_slice()) {
        ([mark], [_, behind]) if is_decimal => {
            let either = starts_thousands && three(behind);
            Some(if either { Form::Either(*mark) } else { Form::Decimals(*mark) })
        }
        ([first, ..], [_, behind @ ..]) if starts_thousands => {
            if marks.iter().all(|mark| mark == first) {
                return behind.iter().all(three).then_some(Form::Thousands(None));
            }
            let (between, _) = behind.split_at(behind.len() - 1);
            let alike = marks[..marks.len() - 1].iter().all(|mark| mark == first);
            (is_decimal && alike && between.iter().all(three)).then_some(Form::Thousands(Some(*last)))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_told_apart() {
        let decimals = |mark| Some(Form::Decimals(mark));
        for (cell, expected) in [
            ("1474", Some(Form::Plain)),
            ("1.5e3", Some(Form::Plain)),
            ("1474.2", decimals('.')),
            ("0,850", decimals(',')),
            ("4000,125", decimals(',')),
            ("1.250", Some(Form::Either('.'))),
            ("-1,250", Some(Form::Either(','))),
            ("1.474,2", Some(Form::Thousands(Some(',')))),
            ("1,474.250", Some(Form::Thousands(Some('.')))),
            ("1 250", Some(Form::Thousands(None))),
            ("1\u{202f}250,5", Some(Form::Thousands(Some(',')))),
            ("1.250.000", Some(Form::Thousands(None))),
            ("27.11.2026", None),
            ("12 30", None),
            ("cold", None),
            ("", None),
        ] {
            assert_eq!(form(cell), expected, "{cell}");
        }
    }

    #[test]
    fn three_digits_behind_one_mark_are_read_as_the_column_and_the_file_write_decimals() {
        let marks = |cells: &[&str]| Marks::of(cells.iter().copied());
        let none = Marks::default();
        assert_eq!(pointed("1.250", none, none), Ok("1.250".into()));
        assert_eq!(pointed("1,250", marks(&["0,9"]), none), Ok("1.250".into()));
        assert_eq!(pointed("1.250", marks(&["0.9"]), marks(&["0.9", "400,5"])), Ok("1.250".into()));
        let either =
            |decimals: &str| Err(Unclear::Either { whole: "1250".into(), decimals: decimals.into() });
        assert_eq!(pointed("1.250", none, marks(&["400,5"])), either("1,250"));
        assert_eq!(pointed("1,250", none, Marks::of_points()), either("1.250"));
        assert_eq!(pointed("1.250", none, marks(&["400,5", "0.9"])), either("1.2500"));
        assert_eq!(pointed("1.474,2", none, none), Err(Unclear::Thousands("1474,2".into())));
    }
}
