using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Tests.Storage;

/// <summary>The service does not look at its start whether the migrations still make its tables: here it is looked at.</summary>
public sealed class MigrationTests
{
    [Fact]
    public void The_migrations_make_the_tables_that_the_code_expects()
    {
        using var db = new DesignFactory().CreateDbContext([]);
        Assert.False(db.Database.HasPendingModelChanges(), "A table or column has changed: make the migrations anew (DEVELOPERS.md, How to add).");
    }

    [Fact]
    public void Every_table_is_asked_for_one_studio_only()
    {
        using var db = new DesignFactory().CreateDbContext([]);
        Assert.True(db.Model.GetEntityTypes().Count() >= 40);
        Assert.Empty(db.Model.GetEntityTypes().Where(t => t.GetDeclaredQueryFilters().Count == 0).Select(t => t.Name));
    }
}
