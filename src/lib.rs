pub mod science;
