//! What becomes of a part that was replaced.

use serde::{Deserialize, Serialize};

use lidoff_catalog::format::{Disposal, PartId, Text};
use lidoff_i18n::{localize, tr};

/// A part that a plan replaces, if something must be done with the old one.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OldPart {
    pub part: PartId,
    pub name: Text,
    /// To whom and how it goes back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub return_old: Option<Text>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub disposal: Option<Disposal>,
}

/// Something that must be done with an old part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Duty {
    /// The customer's data are wiped or destroyed.
    Wipe,
    /// It goes back.
    Return,
    /// It is disposed of by its class.
    Dispose,
}

impl OldPart {
    /// What must be done with it, in order. What goes back is not disposed of here.
    pub fn duties(&self) -> impl Iterator<Item = Duty> + use<> {
        let wipe = self.disposal == Some(Disposal::DataCarrier);
        let last = match (&self.return_old, self.disposal) {
            (Some(_), _) => Some(Duty::Return),
            (None, Some(_)) => Some(Duty::Dispose),
            (None, None) => None,
        };
        wipe.then_some(Duty::Wipe).into_iter().chain(last)
    }

    /// "Drive: wipe it, or seal it for destruction".
    pub fn describe(&self, duty: Duty) -> String {
        let part = localize(&self.name);
        match duty {
            Duty::Wipe => tr!("{part}: wipe it, or seal it for destruction", part),
            Duty::Return => {
                let how = localize(self.return_old.as_deref().unwrap_or_default());
                tr!("{part}: pack it for return. {how}", part, how)
            }
            Duty::Dispose => match self.disposal {
                Some(Disposal::Battery) => tr!(
                    "{part}: tape the terminals, take it to battery recycling",
                    part
                ),
                Some(Disposal::LampWithMercury) => tr!(
                    "{part}: keep it unbroken (mercury), take it to lamp recycling",
                    part
                ),
                _ => tr!("{part}: take it to electronics recycling", part),
            },
        }
    }
}
