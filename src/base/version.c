#include "rushlight/version.h"

const char *rush_version(void)
{
    return RUSHLIGHT_VERSION;
}
