//! Pictures of the screens, light and dark: `make shots`.

use crate::phone::{Phone, Theme};
use crate::server::Server;

/// The screens to take: a name, the address below the app's, and what must be
/// on it before the picture is taken.
const SCREENS: &[(&str, &str, &str)] = &[("start", "", "#app")];

#[test]
#[ignore = "pictures to look at, not a check: make shots"]
fn shots() {
    let server = Server::start();
    let phone = Phone::new();
    for theme in [Theme::Light, Theme::Dark] {
        phone.theme(theme);
        for (name, address, css) in SCREENS {
            phone.open(&format!("{}{address}", server.address()));
            phone.see(css);
            let path = phone.shot(&format!("{name}-{}", theme.name()));
            println!("{}", path.display());
        }
    }
}
