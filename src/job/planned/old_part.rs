//! What becomes of a part that was replaced.

use serde::{Deserialize, Serialize};

use lidoff_catalog::format::{Disposal, PartId, Spare, Text};
use lidoff_i18n::{localize, tr, tr_noop};

/// Something that must be done with the old part, if a plan replaces this part.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OldPart {
    pub part: PartId,
    /// Name of the part.
    pub name: Text,
    pub duty: Duty,
    /// What to do; to whom and how a part goes back.
    pub how: Text,
}

/// What is done with an old part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Duty {
    /// Its data are wiped, or it is sealed for destruction.
    Wipe,
    /// It goes back.
    Return,
    /// It is disposed of by its class.
    Dispose,
}

impl OldPart {
    /// What must be done when this spare replaces the part, in order. What goes back is not
    /// disposed of.
    pub fn all(part: &PartId, name: &Text, spare: &Spare) -> Vec<Self> {
        let wipe = tr_noop!("wipe it, or seal it for destruction");
        let wipe = (spare.disposal == Some(Disposal::DataCarrier)).then_some((Duty::Wipe, wipe));
        let goes_back = spare.return_old.as_deref();
        let last = goes_back.map(|how| (Duty::Return, how)).or_else(|| {
            let how = match spare.disposal? {
                Disposal::Battery => tr_noop!(
                    "if damaged, leave it in a fire box and call the desk; if sound, tape the \
                     terminals and take it to battery recycling"
                ),
                Disposal::LampWithMercury => {
                    tr_noop!("keep it unbroken (mercury), take it to lamp recycling")
                }
                Disposal::Electronics | Disposal::DataCarrier => {
                    tr_noop!("take it to electronics recycling")
                }
            };
            Some((Duty::Dispose, how))
        });
        let duties = wipe.into_iter().chain(last).map(|(duty, how)| Self {
            part: part.clone(),
            name: name.clone(),
            duty,
            how: how.to_owned(),
        });
        duties.collect()
    }

    /// "Drive: wipe it, or seal it for destruction".
    pub fn describe(&self) -> String {
        let (part, how) = (localize(&self.name), localize(&self.how));
        match self.duty {
            Duty::Return => tr!("{part}: pack it for return. {how}", part, how),
            Duty::Wipe | Duty::Dispose => format!("{part}: {how}"),
        }
    }
}
