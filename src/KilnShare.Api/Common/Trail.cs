using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Common;
using NodaTime;

namespace KilnShare.Api.Common;

/// <summary>What every change leaves behind, in its own transaction: who did what, and an event that leaves the house.</summary>
internal static class Trail
{
    /// <summary>Who did what, and the event of it. A reason stays in the house.</summary>
    public static void Note(KilnShareDb db, Id<Studio> studio, Id<Member>? member, string action, Guid subject, IClock clock, string? reason = null)
    {
        var now = clock.GetCurrentInstant();
        db.Add(new AuditRow(studio, NewGuid(now), now, member, action, subject.ToString()) { Reason = reason });
        db.Add(new OutboxRow(studio, NewGuid(now), now, action, $$"""{"id":"{{subject}}"}"""));
    }

    private static Guid NewGuid(Instant now) => Guid.CreateVersion7(now.ToDateTimeOffset());
}
