using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Api.Common;

/// <summary>Makes identities: UUID version 7 (RFC 9562), so that they sort by the time they were made.</summary>
public static class NewId
{
    /// <summary>A new identity.</summary>
    public static Id<T> Of<T>(IClock clock) => new(Guid.CreateVersion7(clock.GetCurrentInstant().ToDateTimeOffset()));
}
