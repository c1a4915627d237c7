//! What may be written on the command line, and its help.

use clap::error::ErrorKind;
use clap::{Args, CommandFactory, Parser, Subcommand, ValueEnum};
use engine::quantity::UnitSystem;
use std::net::IpAddr;
use std::path::PathBuf;

const EXAMPLES: &str = "\
Examples:
  crosshatch                                      open the program on this machine's engines
  crosshatch check engine.toml                    what is right and wrong with an engine, from a file
  crosshatch next engine.toml                     what to measure next
  crosshatch show engine.toml bore_taper/2        the working of one finding
  crosshatch new V8 --out engine.toml             a document to start from

Ends with 0 when all is good, 1 when something stops the build, 2 when the input is bad, 3 when nothing stops it
but questions are still open.";

/// The engine as measured: fits, what to order, what to cut, from the sizes read off these parts.
#[derive(Debug, Parser)]
#[command(name = "crosshatch", version, after_help = EXAMPLES, disable_help_subcommand = true)]
pub(super) struct Arguments {
    #[command(subcommand)]
    verb: Option<Verb>,
    #[command(flatten)]
    open: OpenArguments,
    #[command(flatten)]
    common: Common,
}

impl Arguments {
    /// Without a verb the program opens. What only opening takes may stand before "open" or behind it, and is refused before another
    /// verb, not passed over.
    pub(super) fn split(self) -> Result<(Verb, Common), clap::Error> {
        let Some(verb) = self.verb else { return Ok((Verb::Open(self.open), self.common)) };
        let verb = match verb {
            Verb::Open(behind) => {
                let before = self.open;
                let open = OpenArguments {
                    port: behind.port.or(before.port),
                    listen: behind.listen.or(before.listen),
                    who: behind.who.or(before.who),
                };
                return Ok((Verb::Open(open), self.common));
            }
            other => other,
        };
        let OpenArguments { port, listen, who } = &self.open;
        if port.is_some() || listen.is_some() || who.is_some() {
            let what = format!("--port, --listen and --who belong to \"open\", not to \"{}\"", verb.name());
            return Err(Self::command().error(ErrorKind::ArgumentConflict, what));
        }
        Ok((verb, self.common))
    }
}

/// What every verb takes.
#[derive(Clone, Debug, Args)]
pub(super) struct Common {
    /// Answer as JSON: {"crosshatch": 1, "command": ..., "exit": ..., ...}
    #[arg(long, global = true)]
    pub json: bool,
    /// Units of the answer; those of the document when left out
    #[arg(long, global = true, value_name = "UNITS")]
    pub units: Option<Units>,
    /// Data folder; `$CROSSHATCH_DATA` or the usual place of this system when left out
    #[arg(long, global = true, value_name = "FOLDER")]
    pub data: Option<PathBuf>,
}

impl Common {
    /// The units of the answer.
    pub(super) fn units(&self, of_document: UnitSystem) -> UnitSystem {
        match self.units {
            None => of_document,
            Some(Units::Metric) => UnitSystem::Metric,
            Some(Units::Inch) => UnitSystem::Inch,
        }
    }
}

/// Units in which sizes are written.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub(super) enum Units {
    /// Millimetres, newtons, bar, °C
    Metric,
    /// Inches, pounds, psi, °F
    Inch,
}

#[derive(Debug, Subcommand)]
pub(super) enum Verb {
    /// Serve the pages on this machine (what happens without a command)
    #[command(alias = "serve")]
    Open(OpenArguments),
    /// Findings of an engine from its file
    #[command(
        after_help = "Readings beside ENGINE.toml in ENGINE.readings.csv are taken by themselves, and a torque curve in ENGINE.power.json \
        (\"power --keep\" writes it).\n\n\
        Examples:\n  crosshatch check engine.toml\n  crosshatch check engine.toml --readings monday.csv --all\n  \
        crosshatch check engine.toml --json\n\n\
        Ends with 0 when all is good, 1 when something stops the build, 2 when the file is bad, 3 when nothing stops it \
        but it is not proved: questions are not known, uncertain or stale."
    )]
    Check(CheckArguments),
    /// What to order, what to cut, what goes where
    #[command(
        after_help = "Example:\n  crosshatch plan engine.toml --units inch\n\nEnds as \"check\" does: 0 all good, 1 something stops the build, 2 the file is bad, 3 not proved yet."
    )]
    Plan(FileArguments),
    /// What to measure next: the readings that settle most, in the order of the hand
    #[command(
        after_help = "Example:\n  crosshatch next engine.toml\n\nEnds with 0, or with 2 when the file is bad."
    )]
    Next(FileArguments),
    /// The working of one finding: inputs, formula, source, uncertainty, decision
    #[command(
        after_help = "Example:\n  crosshatch show engine.toml bore_taper/2\n\nEnds with 0 when it is good, 1 when it stops the build, 2 when there is no such finding, 3 when it is not known, uncertain or stale."
    )]
    Show(ShowArguments),
    /// Torque and power over speed, what limits them, and whether they reach what the document asks for
    #[command(
        after_help = "Examples:\n  crosshatch power engine.toml\n  crosshatch power engine.toml --speeds \"3000 to 8500 by 500\"\n  \
        crosshatch power engine.toml --keep && crosshatch check engine.toml\n  crosshatch power hill-climb-four\n\n\
        What is asked for stands under [duty] in the document: power and torque, each with its speed, the limiter, the greatest pressures.\n\n\
        Progress goes to the standard error. Ctrl+C stops; what is done is printed (and kept) all the same, and the command ends with 3.\n\n\
        Ends with 0 when every speed was reached and nothing is wrong, 1 when a finding stops the build, 2 when the input is bad, \
        3 when inputs are missing, the run was stopped, or the answer is uncertain or stale."
    )]
    Power(PowerArguments),
    /// Adjust named factors of the computation until it meets a curve measured on this engine
    #[command(
        after_help = "Example:\n  crosshatch calibrate engine.toml --curve measured.csv --speed \"speed [rev/min]\" --torque \"torque [N·m]\" --adjust friction,burn_duration --hold-out 3,6\n\n\
        Instead of a file, the name of an engine of the data folder does as well.\n\n\
        Nothing is written into the document: enter the factors that you accept under [power].\n\n\
        Ends with 0, with 3 when a factor stands at its bound, with 2 when the input is bad."
    )]
    Calibrate(CalibrateArguments),
    /// Write a document to start from, for a layout such as I4 (in line), V8 (vee) or F6 (flat)
    #[command(
        after_help = "Layouts, a letter and the number of cylinders:\n  I  in line: one row, I1 to I6\n  \
        V  vee: two banks at an angle, V2 to V12, even numbers\n  F  flat: two banks opposite each other, F2 to F12, even numbers\n\n\
        Bank angle, crank throws and firing order are written in as is usual for the layout: change them where yours differs.\n\n\
        Examples:\n  crosshatch new I4 --out engine.toml --name \"hill-climb 2.1\"\n  crosshatch new V8 --units inch"
    )]
    New(NewArguments),
    /// The JSON Schema of the engine document
    Schema,
    /// Engines in the data folder, and how they stand
    Engines,
    /// Write an engine with its whole record as open text
    #[command(after_help = "Example:\n  crosshatch export hill-climb-four --out hill-climb-four-export")]
    Export(ExportArguments),
    /// Take in an export, or an engine document with the readings beside it
    #[command(
        after_help = "Examples:\n  crosshatch import hill-climb-four-export\n  crosshatch import engine.toml"
    )]
    Import(ImportArguments),
    /// Copy the data folder into one file, and read it back
    #[command(after_help = "Example:\n  crosshatch backup /media/stick/crosshatch-2026-03-01.sqlite")]
    Backup(BackupArguments),
    /// Restore a backup into an empty or new data folder (--data), after checking it
    #[command(
        after_help = "Example:\n  crosshatch restore /media/stick/crosshatch-2026-03-01.sqlite --data spare-folder"
    )]
    Restore(RestoreArguments),
    /// Prove, against the last hashes that you noted, that no record was changed, removed or put in since
    #[command(
        after_help = "Each reading and each version of a document carries a hash, made from itself and from the hash before it. \
        All of them are computed again from the start; the first record that does not fit is named. So a record that was damaged, \
        or changed, removed or put in by another way than this program, shows.\n\n\
        What the chain cannot show by itself: that its end was cut off, or that somebody wrote it anew, hashes and all, from some record on. \
        So note the last hashes on paper. Where they still are the same, nothing was changed; where records were added since, \
        the hash that you noted stands beside its record in an export of the engine. \
        Kept torque curves stand in no chain: each is checked against its own hash.\n\n\
        Examples:\n  crosshatch verify\n  crosshatch verify hill-climb-four\n\n\
        Ends with 0 when every chain holds, 2 when one does not or there is no record to check."
    )]
    Verify(VerifyArguments),
}

impl Verb {
    /// Its word in answers.
    pub(super) const fn name(&self) -> &'static str {
        match self {
            Self::Open(_) => "open",
            Self::Check(_) => "check",
            Self::Plan(_) => "plan",
            Self::Next(_) => "next",
            Self::Show(_) => "show",
            Self::Power(_) => "power",
            Self::Calibrate(_) => "calibrate",
            Self::New(_) => "new",
            Self::Schema => "schema",
            Self::Engines => "engines",
            Self::Export(_) => "export",
            Self::Import(_) => "import",
            Self::Backup(_) => "backup",
            Self::Restore(_) => "restore",
            Self::Verify(_) => "verify",
        }
    }
}

#[derive(Debug, Default, Args)]
pub(super) struct OpenArguments {
    /// Port; 7117 or the next free one when left out, 0 for any
    #[arg(long)]
    pub port: Option<u16>,
    /// Address of this machine alone; 127.0.0.1 when left out
    #[arg(long, value_name = "ADDRESS")]
    pub listen: Option<IpAddr>,
    /// Who works here, as it stands beside each reading; "bench" when left out
    #[arg(long, value_name = "NAME")]
    pub who: Option<String>,
}

#[derive(Debug, Args)]
pub(super) struct FileArguments {
    /// Engine document; or the name of an engine of the data folder, as "crosshatch engines" lists it
    #[arg(value_name = "ENGINE.toml")]
    pub file: PathBuf,
    /// Readings; ENGINE.readings.csv beside the document when left out
    #[arg(long, value_name = "FILE.csv")]
    pub readings: Option<PathBuf>,
    /// Kept torque curve ("power --keep"); ENGINE.power.json beside the document when left out
    #[arg(long, value_name = "FILE.json")]
    pub power: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub(super) struct CheckArguments {
    #[command(flatten)]
    pub input: FileArguments,
    /// List what is good and what is not measured as well
    #[arg(long)]
    pub all: bool,
}

#[derive(Debug, Args)]
pub(super) struct ShowArguments {
    #[command(flatten)]
    pub input: FileArguments,
    /// Its name in the list of findings, `bore_taper/2`
    #[arg(value_name = "FINDING")]
    pub finding: String,
}

#[derive(Debug, Args)]
pub(super) struct PowerArguments {
    #[command(flatten)]
    pub input: FileArguments,
    /// Crank speeds in rev/min, "3000, 4000, 5000", a range "3000 to 8500 by 250" (by 500 when it says no step) or both;
    /// 16 up to the limiter when left out
    #[arg(long, value_name = "SPEEDS", allow_hyphen_values = true)]
    pub speeds: Option<String>,
    /// Keep the curve in ENGINE.power.json beside the document, where "check", "show" and "plan" take it by themselves;
    /// for an engine of the data folder the page Power keeps it
    #[arg(long)]
    pub keep: bool,
    /// With --json: pressures and flows over crank angle as well (much text)
    #[arg(long)]
    pub traces: bool,
}

#[derive(Debug, Args)]
pub(super) struct CalibrateArguments {
    #[command(flatten)]
    pub input: FileArguments,
    /// Measured curve, CSV with headings
    #[arg(long, value_name = "FILE.csv")]
    pub curve: PathBuf,
    /// Heading of the crank speed, with its unit in brackets when it is not rev/min
    #[arg(long, value_name = "COLUMN")]
    pub speed: String,
    /// Heading of the torque, with its unit in brackets when it is not N·m
    #[arg(long, value_name = "COLUMN")]
    pub torque: String,
    /// Heading of the absolute pressure in the plenum, with its unit in brackets when it is not bar
    #[arg(long, value_name = "COLUMN")]
    pub boost: Option<String>,
    /// Heading of the air to fuel ratio against the exact one
    #[arg(long, value_name = "COLUMN")]
    pub lambda: Option<String>,
    /// Factors to adjust, each with bounds when the usual ones do not suit: friction:0.8:1.2
    #[arg(
        long,
        value_name = "FACTORS",
        value_delimiter = ',',
        default_value = "friction,burn_duration",
        alias = "fit"
    )]
    pub adjust: Vec<String>,
    /// Speeds to leave out, to check the adjustment on them; by their place in the curve, 1 first
    #[arg(long, value_name = "SPEEDS", value_delimiter = ',')]
    pub hold_out: Vec<usize>,
}

#[derive(Debug, Args)]
pub(super) struct NewArguments {
    /// I (in line), V (vee) or F (flat) with the number of cylinders: I4, V8, F6
    #[arg(value_name = "LAYOUT")]
    pub layout: String,
    /// File to write; printed when left out
    #[arg(long, value_name = "ENGINE.toml")]
    pub out: Option<PathBuf>,
    /// What the shop calls it
    #[arg(long, default_value = "")]
    pub name: String,
}

#[derive(Debug, Args)]
pub(super) struct ExportArguments {
    /// Name of the engine in the list of engines
    #[arg(value_name = "ENGINE")]
    pub engine: String,
    /// New or empty folder to write into
    #[arg(long, value_name = "FOLDER")]
    pub out: PathBuf,
}

#[derive(Debug, Args)]
pub(super) struct ImportArguments {
    /// Folder of an export, or an engine document
    #[arg(value_name = "FROM")]
    pub from: PathBuf,
}

#[derive(Debug, Args)]
pub(super) struct BackupArguments {
    /// New file to write
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
}

#[derive(Debug, Args)]
pub(super) struct RestoreArguments {
    /// Backup to read
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
}

#[derive(Debug, Args)]
pub(super) struct VerifyArguments {
    /// Name of an engine; all of them when left out
    #[arg(value_name = "ENGINE")]
    pub engine: Option<String>,
}
