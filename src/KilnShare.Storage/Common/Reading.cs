using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.Common;

/// <summary>Reads one thing of a studio by its id, by a query that is put together once.</summary>
public static class Reading
{
    /// <summary>The thing, to be told and not to be changed; null when the studio has none of that id.</summary>
    public static Task<T?> ById<T>(this KilnShareDb db, Id<Studio> studio, Guid id, CancellationToken cancellation)
        where T : class
    {
        if (!Keyed<T>.Question.IsKnown) db.Asking = new RowAsking(Keyed<T>.Question, studio.Value, id);
        return Keyed<T>.Query(db, studio, new Id<T>(id), cancellation);
    }

    /// <summary>The question that <see cref="ById{T}"/> asks, to be asked ahead of it.</summary>
    public static RowQuestion QuestionOf<T>()
        where T : class => Keyed<T>.Question;

    private static class Keyed<T>
        where T : class
    {
        public static readonly RowQuestion Question = new();

        public static readonly Func<KilnShareDb, Id<Studio>, Id<T>, CancellationToken, Task<T?>> Query =
            EF.CompileAsyncQuery((KilnShareDb db, Id<Studio> studio, Id<T> id, CancellationToken cancellation) =>
                // It names its studio itself, as the filter would: with that once more there would be one word more in each small read.
                db.Set<T>().IgnoreQueryFilters().AsNoTracking()
                    .FirstOrDefault(thing => EF.Property<Id<Studio>>(thing, "StudioId") == studio && EF.Property<Id<T>>(thing, "Id") == id));
    }
}
