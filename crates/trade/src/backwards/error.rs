//! Why nothing can be proposed, and how to mend it.

use super::choices::LeftOut;
use crate::build::BuildError;
use crate::findings::AnswerError;

/// Why nothing can be proposed.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ReachError {
    /// The record describes no possible bike, or a change no possible step.
    #[error(transparent)]
    Answer(#[from] AnswerError),
    /// Only what is not accepted was said.
    #[error("nothing is wanted")]
    NothingWanted,
    /// Two wishes want different things of one quantity.
    #[error("two wishes speak of the {0}")]
    Twice(String),
    /// The bike's record does not suffice for a target.
    #[error("the {quantity} of this bike is not known")]
    Unknown {
        /// Which quantity.
        quantity: String,
        /// What would have to be told first.
        missing: Vec<String>,
    },
    /// Nothing moves what is wanted, or nothing that does is accepted.
    #[error("nothing that may be touched moves what is wanted")]
    NothingToChoose {
        /// What would have moved it and does not go on this bike.
        left_out: Vec<LeftOut>,
    },
    /// The other bike's record tells of no contact point that this one's does too.
    #[error("the two records have no contact point in common")]
    NothingToTransfer,
    /// Somebody stopped the search.
    #[error("stopped")]
    Stopped,
}

/// Past so many reasons nobody reads on.
const MOST_LEFT_OUT: usize = 3;

impl ReachError {
    /// How to mend it.
    pub fn help(&self) -> String {
        match self {
            ReachError::Answer(error) => error.help(),
            ReachError::NothingWanted => {
                "say for example `grip stack +15`; `knockon explain` lists what can be wanted".to_owned()
            }
            ReachError::Twice(_) => "keep one of them".to_owned(),
            ReachError::Unknown { missing, .. } if missing.is_empty() => {
                "a step (`+5`) may do where a value does not; `knockon show` says what the record lacks"
                    .to_owned()
            }
            ReachError::Unknown { missing, .. } => format!("tell first: {}", missing.join(", ")),
            ReachError::NothingToChoose { left_out } if !left_out.is_empty() => {
                let told =
                    left_out.iter().take(MOST_LEFT_OUT).map(|out| format!("{}: {}", out.what, out.why));
                let more = left_out.len().saturating_sub(MOST_LEFT_OUT);
                let more = (more > 0).then(|| format!("and {more} more"));
                format!("left out: {}", told.chain(more).collect::<Vec<_>>().join("; "))
            }
            ReachError::NothingToChoose { .. } => {
                "keep less, or `try` something else: stem, bar, roll, spacers, headset, fork".to_owned()
            }
            ReachError::NothingToTransfer => {
                "both need stack, reach and cockpit, or saddle height and setback".to_owned()
            }
            ReachError::Stopped => "nothing was lost: ask again".to_owned(),
        }
    }
}

impl From<BuildError> for ReachError {
    fn from(error: BuildError) -> Self {
        ReachError::Answer(AnswerError::from(error))
    }
}
