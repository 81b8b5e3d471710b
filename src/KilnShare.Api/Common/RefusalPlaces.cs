using KilnShare.Core.Common;

namespace KilnShare.Api.Common;

/// <summary>Where a refusal stands in a body that holds the refused thing somewhere inside it.</summary>
internal static class RefusalPlaces
{
    /// <summary>The refusal with its pointer put behind another.</summary>
    public static Refusal Under(this Refusal refusal, string place) => refusal with { Pointer = place + refusal.Pointer };
}
