//! The page of one question, through the whole app without a network: what it shows, what its forms do, what it never loses.

mod about;
mod bench;
mod compare;
mod form;
mod markup;
mod photos;
mod publish;
mod shows;
mod state;
mod travel;
