// Settings as they come: a flat JSON object that has passed the step's schema.
#ifndef SETTINGS_H
#define SETTINGS_H

#include "object_plugin.h"

// The number of this name, or `otherwise` where the pipeline does not give it.
double setting(const object_plugin_string_t *settings, const char *name, double otherwise);

#endif
