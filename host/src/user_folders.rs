//! The user's own folders for this program: settings, what is kept, what can be made again.

use directories::ProjectDirs;

/// Where they are, as the system has it; nothing for a user without a home. They may be missing.
pub fn user_folders() -> Option<ProjectDirs> {
    ProjectDirs::from("", "", "hoopwright")
}
