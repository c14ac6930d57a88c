//! Lists of numbers by name: an enumeration whose variants stand in the order of an array of their values.

/// Makes such an enumeration: every variant, how many there are, the snake-case name in JSON, and what kind of number it is.
macro_rules! named_numbers {
    ($(#[$about:meta])* $Numbers:ident { $($(#[$doc:meta])* $name:ident = $id:literal, $dimension:ident;)+ }) => {
        $(#[$about])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum $Numbers { $($(#[$doc])* $name,)+ }

        impl $Numbers {
            /// Every one, in the order in which their values stand in an array.
            pub const ALL: &'static [$Numbers] = &[$($Numbers::$name,)+];
            /// How many there are.
            pub const COUNT: usize = $Numbers::ALL.len();

            /// Snake-case name, as in JSON.
            pub fn id(self) -> &'static str {
                match self { $($Numbers::$name => $id,)+ }
            }

            /// What kind of number it is.
            pub fn dimension(self) -> $crate::quantity::Dimension {
                match self { $($Numbers::$name => $crate::quantity::Dimension::$dimension,)+ }
            }
        }
    };
}

pub(crate) use named_numbers;
