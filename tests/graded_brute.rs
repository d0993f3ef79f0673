#[test] fn x(){}
