//! The current screen: the part of the address after `#`.
//!
//! A hash works in any folder of any static file server and without a network; a path
//! does not. Pure: the code that listens to the address is in `shell`.

use lidoff_limits::LINK;

/// Letters that are shown of an address that is too long.
const LINK_SHOWN: usize = 60;

/// A screen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Route {
    /// The job to carry on with, and everything else to start from.
    Today,
    /// Choose a unit.
    Units,
    /// A new job on this unit (catalog id).
    New(String),
    /// A job, by id.
    Job(String, Page),
    /// The desk.
    Desk,
    /// Records.
    Records,
    /// An unknown address.
    Lost(String),
}

/// A page of a job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Page {
    /// The plan and its progress.
    Plan,
    /// The current step.
    Step,
    /// Wells and tally.
    Tray,
    /// Closing the job.
    WrapUp,
}

impl Route {
    /// Reads the part of an address after (and with or without) `#`.
    pub fn parse(hash: &str) -> Self {
        if hash.len() > LINK {
            let start: String = hash.chars().take(LINK_SHOWN).collect();
            return Self::Lost(format!("{}…", start.trim_start_matches(['#', '/'])));
        }
        let path = hash.trim_start_matches('#').trim_matches('/');
        let words: Vec<&str> = path.split('/').collect();
        match words.as_slice() {
            [""] => Self::Today,
            ["new"] => Self::Units,
            ["new", unit] => Self::New((*unit).to_owned()),
            ["job", job] => Self::Job((*job).to_owned(), Page::Plan),
            ["job", job, "step"] => Self::Job((*job).to_owned(), Page::Step),
            ["job", job, "tray"] => Self::Job((*job).to_owned(), Page::Tray),
            ["job", job, "wrap-up"] => Self::Job((*job).to_owned(), Page::WrapUp),
            ["desk"] => Self::Desk,
            ["records"] => Self::Records,
            _ => Self::Lost(path.to_owned()),
        }
    }

    /// The address, with `#`.
    pub fn href(&self) -> String {
        match self {
            Self::Today => "#/".to_owned(),
            Self::Units => "#/new".to_owned(),
            Self::New(unit) => format!("#/new/{unit}"),
            Self::Job(job, Page::Plan) => format!("#/job/{job}"),
            Self::Job(job, Page::Step) => format!("#/job/{job}/step"),
            Self::Job(job, Page::Tray) => format!("#/job/{job}/tray"),
            Self::Job(job, Page::WrapUp) => format!("#/job/{job}/wrap-up"),
            Self::Desk => "#/desk".to_owned(),
            Self::Records => "#/records".to_owned(),
            Self::Lost(path) => format!("#/{path}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_screen_is_found_again_under_its_own_address() {
        let job = || "j-1f".to_owned();
        let routes = [
            Route::Today,
            Route::Units,
            Route::New("perch-22".to_owned()),
            Route::Job(job(), Page::Plan),
            Route::Job(job(), Page::Step),
            Route::Job(job(), Page::Tray),
            Route::Job(job(), Page::WrapUp),
            Route::Desk,
            Route::Records,
        ];
        for route in routes {
            assert_eq!(Route::parse(&route.href()), route);
        }
    }

    #[test]
    fn an_address_that_means_nothing_is_kept_to_be_shown() {
        assert_eq!(
            Route::parse("#/job/a/b/c"),
            Route::Lost("job/a/b/c".to_owned())
        );
    }

    #[test]
    fn an_address_that_is_too_long_for_any_screen_is_shown_by_its_beginning() {
        for long in ["x".repeat(1_000_000), "é/".repeat(500_000)] {
            let Route::Lost(shown) = Route::parse(&format!("#/job/{long}")) else {
                panic!("it names no screen");
            };
            assert!(shown.starts_with("job/") && shown.ends_with('…'), "{shown}");
            assert!(shown.chars().count() <= 61, "{shown}");
        }
        let longest = format!("#/job/{}", "x".repeat(294));
        assert!(matches!(Route::parse(&longest), Route::Job(..)));
    }

    #[test]
    fn a_bare_address_is_today() {
        assert_eq!(Route::parse(""), Route::Today);
        assert_eq!(Route::parse("#"), Route::Today);
    }
}
